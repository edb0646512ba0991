#include "io/report_blocks.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <zlib.h>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr double steps_of_range = 65534.0;
constexpr std::uint16_t no_value = 65535;
constexpr int deflate_level = 6;

std::string deflated(const std::vector<unsigned char>& bytes) {
  uLongf size = compressBound(static_cast<uLong>(bytes.size()));
  std::vector<unsigned char> out(size);
  if (compress2(out.data(), &size, bytes.data(), static_cast<uLong>(bytes.size()), deflate_level) !=
      Z_OK)
    throw Error("a field of the report could not be compressed: there is not enough memory");
  out.resize(size);
  return base64(out);
}

}  // namespace

std::string base64(std::span<const unsigned char> bytes) {
  static constexpr char digits[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t n = std::min<std::size_t>(3, bytes.size() - i);
    unsigned int word = 0;
    for (std::size_t k = 0; k < 3; ++k) word = (word << 8) | (k < n ? bytes[i + k] : 0U);
    for (std::size_t k = 0; k < 4; ++k) out += k <= n ? digits[(word >> (18 - 6 * k)) & 63U] : '=';
  }
  return out;
}

ReportBlock rounded_block(std::span<const double> values, double factor, double offset) {
  ReportBlock out;
  out.count = values.size();
  double low = std::numeric_limits<double>::infinity(), high = -low;
  for (const double value : values) {
    const double shown = value * factor + offset;
    if (!std::isfinite(shown)) continue;
    low = std::min(low, shown);
    high = std::max(high, shown);
  }
  if (low > high) low = high = 0.0;
  out.low = low;
  out.high = high;
  const double range = high - low;  // infinite when both are near the largest double
  const double scale = range > 0.0 && std::isfinite(range) ? steps_of_range / range : 0.0;
  // Low bytes first, then high bytes: neighbours alike shrink better.
  std::vector<unsigned char> bytes(2 * values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double shown = values[i] * factor + offset;
    std::uint16_t q = no_value;
    if (std::isfinite(shown))
      q = scale > 0.0 ? static_cast<std::uint16_t>(std::lround((shown - low) * scale)) : 0;
    bytes[i] = static_cast<unsigned char>(q & 255U);
    bytes[values.size() + i] = static_cast<unsigned char>(q >> 8U);
  }
  out.text = deflated(bytes);
  return out;
}

ReportBlock index_block(std::span<const std::int32_t> values) {
  ReportBlock out;
  out.kind = ReportBlock::Kind::index;
  out.count = values.size();
  std::vector<unsigned char> bytes;
  bytes.reserve(4 * values.size());
  for (const std::int32_t value : values)
    for (unsigned int shift = 0; shift < 32; shift += 8)
      bytes.push_back(
          static_cast<unsigned char>((static_cast<std::uint32_t>(value) >> shift) & 255U));
  out.text = deflated(bytes);
  return out;
}

}  // namespace firstshot
