// A short mark by which two inputs are known to be the same: the 64-bit FNV-1a hash [FowlerNollVo]
// of their bytes, as 16 hexadecimal digits. Good against mistakes (a case edited between two runs),
// not against malice.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "mesh/model.hpp"

namespace firstshot {

/// The hash, fed piece by piece.
class Fingerprint {
 public:
  /// Adds a text and its end, so that "ab","c" differs from "a","bc".
  void add(std::string_view text);
  void add_bytes(const void* bytes, std::size_t n);
  /// 16 hexadecimal digits.
  std::string hex() const;

 private:
  std::uint64_t hash_ = 0xcbf29ce484222325U;  ///< FNV's 64-bit offset basis
};

/// Mark of everything in a model: any changed bit of a coordinate, thickness, section or name
/// changes it.
std::string model_fingerprint(const Model& model);

}  // namespace firstshot
