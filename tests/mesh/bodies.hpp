// Bodies with known volume and area, as shells for tests. Made of triangles here, not by the code
// under test.
#pragma once

#include <vector>

#include "mesh/solid/shell.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot::test {

/// Upright box.
Shell box(const Point3& low, const Point3& high);

/// Polygon (counter-clockwise, star-shaped about its first corner) in x-z, drawn out along y from
/// y0 to y1. `pieces`: divisions along y.
Shell extruded(const std::vector<Point>& section, double y0, double y1, int pieces = 1);

/// Body of revolution about a line along z through `centre`: radius and height of each ring, from
/// the lowest to the highest; n corners around.
struct Ring {
  double radius = 0.0, z = 0.0;  ///< [m]
};
Shell turned(Point centre, const std::vector<Ring>& rings, int n);

/// Both shells in one, side by side, nothing joined.
Shell together(const Shell& a, const Shell& b);

/// Turned about the y axis by an angle [rad].
Shell tilted(const Shell& shell, double angle);

Shell inside_out(const Shell& shell);

}  // namespace firstshot::test
