// Surface of a solid as triangles, as a reader of STL or STEP leaves it: nothing is promised about
// it. It may be open, turned inside out, made of several pieces that overlap, or hold slivers;
// mesh/solid/check_shell says what is wrong.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

struct Shell {
  std::vector<Point3> points;  ///< (n_points) [m]
  /// (n_triangles) corners as indices into `points`; counter-clockwise seen from outside when the
  /// file is right.
  std::vector<std::array<std::int32_t, 3>> triangles;
};

}  // namespace firstshot
