// Where lines along the draw pass through melt more than once: the mould could not open.
#pragma once

#include <vector>

#include "mesh/solid/build_solid_model.hpp"
#include "mesh/solid/column_grid.hpp"

namespace firstshot {

/// Undercuts on a grid of lines, each piece that hangs together once, largest first. Single lines
/// that graze a wall do not count.
std::vector<Undercut> find_undercuts(const ColumnGrid& columns);

/// @throws GeometryError for the largest when it is larger than the tolerance [m].
void refuse_undercuts(const std::vector<Undercut>& undercuts, double tolerance);

}  // namespace firstshot
