// Nine-node quadratic elements over half of a runner section, on a mapped grid that is finer
// towards the walls. Helper of duct_solution.
#pragma once

#include <array>
#include <vector>

#include "mesh/section.hpp"

namespace firstshot {

/// One integration point: weight [m²], shape functions and their gradients [1/m].
struct DuctPoint {
  double weight = 0.0;
  std::array<double, 9> value{}, dx{}, dy{};
};

struct DuctElement {
  std::array<int, 9> unknown{};  ///< number of the unknown at each node, -1 on a wall
  std::array<DuctPoint, 9> points{};
};

/// Half of a section (the plane of symmetry is a free border, every other side a wall).
struct DuctElements {
  std::vector<DuctElement> elements;
  int n_unknowns = 0;
};

/// @param section half round, trapezoid or rectangle, measures > 0
/// @param fineness 1 for the accuracy stated in duct_solution, 2 for elements half the size
/// Throws Error for a round section (which needs no numbers) or one without area.
DuctElements duct_elements(const Section& section, double fineness);

}  // namespace firstshot
