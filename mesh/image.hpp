// Images of areas: a part drawn once and set again elsewhere, mirrored, turned and moved.
#pragma once

#include <array>
#include <optional>
#include <string>

#include "mesh/layout.hpp"

namespace firstshot {

/// Mirrored first, then turned, then moved.
struct Image {
  std::string name;                            ///< of the new area
  std::optional<std::array<Point, 2>> mirror;  ///< two different points of the mirror line [m]
  double turn = 0.0;                           ///< counter-clockwise [rad]
  Point turn_about;                            ///< [m]
  Point move;                                  ///< [m]
  std::optional<bool> visible;                 ///< default: as the original
  Origin origin;
};

/// Place of a point of the original in the image [m].
Point transformed(Point p, const Image& image);

/// The shape at its place in the image; a circle stays a circle, a rectangle a rectangle.
Shape transformed(const Shape& shape, const Image& image);

/// Copy of an area with its holes and steps. @throws GeometryError when the mirror line's points
/// coincide.
Area transformed(const Area& area, const Image& image);

}  // namespace firstshot
