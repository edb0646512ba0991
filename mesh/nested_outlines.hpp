// Closed outlines of a drawing → areas with their holes and steps, by what lies inside what.
#pragma once

#include <vector>

#include "mesh/drawing_rules.hpp"
#include "mesh/outline.hpp"
#include "mesh/plane.hpp"

namespace firstshot {

struct DrawnOutline {
  Shape shape;
  const LayerRule* rule = nullptr;  ///< AreaLayer, HoleLayer or StepLayer
  Origin origin;
};

/// How finely outlines are divided to find what lies inside what.
inline constexpr ArcRule drawing_arc_rule{0.02e-3, 10.0};

/// Areas in reading order of the middles of their boxes, without names.
/// @throws GeometryError a hole or step that lies in no part or in a hole, an area inside another
/// one of a different layer, more outlines than any frame has
std::vector<Area> nest_outlines(const std::vector<DrawnOutline>& outlines);

/// Middle of the box around a shape [m].
Point middle_of(const Shape& shape);

/// Whether p lies in the material of the area.
bool contains(const Area& area, Point p);

}  // namespace firstshot
