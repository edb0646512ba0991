// Shapes as closed polygons. Arcs become sides whose corners are set such that the polygon encloses
// exactly the area that the arc does: with chords alone a round part would lose volume, and a round
// hole would gain it, at first order in the number of sides.
#pragma once

#include <span>
#include <vector>

#include "mesh/layout.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// How finely arcs are divided.
struct ArcRule {
  double deviation = 0.02e-3;  ///< largest distance between polygon and arc [m] > 0
  double longest_side = 1e-3;  ///< longest side on an arc [m] > 0
};

/// A closed polygon, counter-clockwise; the last point joins the first.
struct ClosedLine {
  std::vector<Point> points;  ///< (n) [m]
  /// (n) side of the drawn shape, from 0, that the side points[i] → points[i + 1] is part of.
  std::vector<int> side;
};

/// The shape as a counter-clockwise polygon. The shape must have passed check_layout.
ClosedLine closed_line(const Shape& shape, const ArcRule& rule);

/// Area enclosed by a polygon [m²], positive when counter-clockwise.
double signed_area(std::span<const Point> polygon);

/// Whether p lies inside the polygon; either answer for a point on its rim.
bool contains(std::span<const Point> polygon, Point p);

/// Distance from p to the nearest side of the polygon [m].
double rim_distance(std::span<const Point> polygon, Point p);

}  // namespace firstshot
