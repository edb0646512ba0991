// Collects triangles into a Shell: corners at exactly the same place become one point, and
// triangles that have no area because two of their corners are one are left out. Used by the
// readers of solids.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "mesh/solid/shell.hpp"

namespace firstshot {

class ShellBuilder {
 public:
  /// Index of the point at this place, which is added when it is new. Coordinates must be finite.
  std::int32_t point(const Point3& at);
  /// Adds a triangle of three indices, unless two of them are the same.
  void add_triangle(const std::array<std::int32_t, 3>& corners);
  std::size_t n_triangles() const { return shell_.triangles.size(); }
  /// The shell; the builder is empty afterwards.
  Shell take();

 private:
  void grow();
  std::size_t slot_of(const Point3& at) const;

  Shell shell_;
  std::vector<std::int32_t> slots_;  ///< open addressing: index of a point or -1; a power of two
};

}  // namespace firstshot
