#include "mesh/solid/column_grid.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {
namespace {

constexpr double most_lines = 1.5e6;

}  // namespace

ColumnGrid column_grid(const DrawLines& lines, const PlanGrid& fine, const WidthMap& map) {
  const auto melt = static_cast<double>(
      std::count_if(map.distance.begin(), map.distance.end(), [](float d) { return d > 0.0F; }));
  const int step = std::max(1, static_cast<int>(std::ceil(std::sqrt(melt / most_lines))));
  ColumnGrid c;
  c.grid = {fine.low, step * fine.cell, (fine.nx - 1) / step + 1, (fine.ny - 1) / step + 1};
  for (auto* v : {&c.lower, &c.upper, &c.gap, &c.gap_height, &c.distance})
    v->assign(c.grid.size(), 0.0F);
  for (int j = 0; j < c.grid.ny; ++j)
    for (int i = 0; i < c.grid.nx; ++i) {
      const float distance = map.distance[fine.index(i * step, j * step)];
      if (!(distance > 0.0F)) continue;
      const DrawColumn column = lines.at(fine.at(i * step, j * step));
      if (!column.holds()) continue;
      const std::size_t k = c.grid.index(i, j);
      c.distance[k] = distance;
      c.lower[k] = static_cast<float>(column.lower);
      c.upper[k] = static_cast<float>(column.upper);
      if (column.intervals < 2) continue;
      c.gap[k] = static_cast<float>(column.gap);
      c.gap_height[k] = static_cast<float>(column.gap_middle);
    }
  return c;
}

}  // namespace firstshot
