// Copies of drawn areas: mirrored, then turned, then moved. Quarter turns and mirrors in the axes
// are exact, so that a frame drawn in quarters meshes the same in each of them.
#pragma once

#include <array>
#include <optional>

#include "mesh/layout.hpp"

namespace firstshot {

struct ImageMotion {
  std::optional<std::array<Point, 2>> mirror;  ///< two different points of the mirror line [m]
  double turn_degrees = 0.0;                   ///< counter-clockwise [deg]
  Point about;                                 ///< stays in place when turning [m]
  Point move;                                  ///< shift [m]
};

Point image_of(const Point& point, const ImageMotion& motion);
Shape image_of(const Shape& shape, const ImageMotion& motion);
/// Outline, holes and steps; name, role, visibility and origin are those of the original.
Area image_of(const Area& area, const ImageMotion& motion);

}  // namespace firstshot
