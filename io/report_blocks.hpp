// Arrays of numbers on their way into a page of HTML: rounded to 16 bits within their own range,
// deflated, written as base64.
//
// Error of a rounded value: at most (high - low) / 131068, less than a screen or a ruler shows.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace firstshot {

/// One array. A stored 16-bit number q means low + q (high - low) / 65534; 65535 means "no value".
struct ReportBlock {
  enum class Kind { rounded, index } kind = Kind::rounded;
  std::size_t count = 0;         ///< of values
  double low = 0.0, high = 0.0;  ///< of `rounded`, in the unit of the values
  std::string text;              ///< base64 of zlib's format; index: 32-bit, little endian
};

/// @param values multiplied by `factor`, then `offset` is added; NaN and infinite: no value
ReportBlock rounded_block(std::span<const double> values, double factor = 1.0, double offset = 0.0);
/// @param values ≥ -1; -1 is stored as 4294967295
ReportBlock index_block(std::span<const std::int32_t> values);

/// Base64 of RFC 4648 with padding.
std::string base64(std::span<const unsigned char> bytes);

}  // namespace firstshot
