#include "mesh/solid/undercuts.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"

namespace firstshot {
std::vector<Undercut> find_undercuts(const ColumnGrid& columns) {
  const PlanGrid& grid = columns.grid;
  std::vector<float> gaps = columns.gap;
  std::vector<Undercut> undercuts;
  std::vector<std::pair<int, int>> piece;
  for (int j0 = 0; j0 < grid.ny; ++j0)
    for (int i0 = 0; i0 < grid.nx; ++i0) {
      if (!(gaps[grid.index(i0, j0)] > 0.0F)) continue;
      piece.assign(1, {i0, j0});
      Undercut u;
      Box box;
      double x = 0.0, y = 0.0, z = 0.0;
      u.gap = gaps[grid.index(i0, j0)];
      gaps[grid.index(i0, j0)] = 0.0F;
      for (std::size_t k = 0; k < piece.size(); ++k) {
        const auto [i, j] = piece[k];
        const Point p = grid.at(i, j);
        box.add(p);
        x += p.x;
        y += p.y;
        z += columns.gap_height[grid.index(i, j)];
        for (int dj = -1; dj <= 1; ++dj)
          for (int di = -1; di <= 1; ++di) {
            const int ni = i + di, nj = j + dj;
            if (ni < 0 || nj < 0 || ni >= grid.nx || nj >= grid.ny) continue;
            float& gap = gaps[grid.index(ni, nj)];
            if (!(gap > 0.0F)) continue;
            u.gap = std::max(u.gap, static_cast<double>(gap));
            gap = 0.0F;
            piece.emplace_back(ni, nj);
          }
      }
      if (piece.size() < 2) continue;
      const auto n = static_cast<double>(piece.size());
      u.at = {x / n, y / n, z / n};
      u.size = std::max(box.high.x - box.low.x, box.high.y - box.low.y) + grid.cell;
      undercuts.push_back(u);
    }
  std::stable_sort(undercuts.begin(), undercuts.end(),
                   [](const Undercut& a, const Undercut& b) { return a.size > b.size; });
  return undercuts;
}

void refuse_undercuts(const std::vector<Undercut>& undercuts, double tolerance) {
  if (undercuts.empty() || undercuts.front().size <= tolerance) return;
  const Undercut& u = undercuts.front();
  const auto large = std::count_if(undercuts.begin(), undercuts.end(),
                                   [&](const Undercut& other) { return other.size > tolerance; });
  throw GeometryError("the solid has " +
                          (large == 1 ? std::string("an undercut")
                                      : std::to_string(large) + " undercuts, the largest") +
                          " " + in_mm(u.size) + " wide with a gap of " + in_mm(u.gap) +
                          " at z = " + in_mm(u.at.z) +
                          "; along the draw every line must pass through the melt once only",
                      u.at.x, u.at.y);
}

}  // namespace firstshot
