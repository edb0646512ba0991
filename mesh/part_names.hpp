// Names of parts that were found in a drawing or solid: those that the user gives by a point
// inside, and automatic ones by their place, which stay the same when the drawing's entries change
// their order or other parts get a name.
#pragma once

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "mesh/layout.hpp"

namespace firstshot {

/// Row by row from the top, in a row from left to right; places are compared in steps of 0.1 mm so
/// that rounding does not decide. @return the indices in this order
std::vector<std::size_t> reading_order(std::span<const Point> places);

/// A part that was found.
struct FoundPart {
  Point place;                          ///< middle of its box [m]
  std::function<bool(Point)> contains;  ///< whether a point lies in its material
};
struct PartName {
  std::string name;
  bool visible = false;
};

/// Name of each part; "part-3" is the third in reading order.
/// @throws GeometryError a mark that lies in no part, two marks in one part, a mark with the
/// automatic name of another part
std::vector<PartName> name_parts(std::span<const FoundPart> parts, std::span<const PartMark> marks);

}  // namespace firstshot
