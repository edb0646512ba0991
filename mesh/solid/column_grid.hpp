// Melt on a regular grid of lines along the draw: what undercuts, sprue and roles are found from.
#pragma once

#include <vector>

#include "mesh/solid/draw_lines.hpp"
#include "mesh/solid/plan_scan.hpp"
#include "mesh/solid/width_map.hpp"

namespace firstshot {

struct ColumnGrid {
  PlanGrid grid;                       ///< every so many points of the grid of the outline
  std::vector<float> lower, upper;     ///< surfaces (n_points) [m]
  std::vector<float> gap, gap_height;  ///< without melt between them, and where [m]
  std::vector<float> distance;         ///< to the rim [m]; 0 beside the shadow
  bool holds(std::size_t k) const { return distance[k] > 0.0F; }
  double chord(std::size_t k) const { return static_cast<double>(upper[k]) - lower[k]; }
};

/// At most about 1.5 million lines through melt; more would cost seconds and find nothing more.
ColumnGrid column_grid(const DrawLines& lines, const PlanGrid& fine, const WidthMap& map);

}  // namespace firstshot
