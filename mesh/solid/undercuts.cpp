#include "mesh/solid/undercuts.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

/// Lines to look along; more would cost seconds and find no undercut that matters.
constexpr double most_lines = 1.5e6;

/// Lines that pass through melt twice, by their place in a coarser grid.
struct Sparse {
  int nx = 0, ny = 0;
  std::vector<float> gap, height;  ///< [m]; gap 0 where there is none
};

Sparse look(const DrawLines& lines, const PlanGrid& grid, const std::vector<std::uint8_t>& inside,
            int step) {
  Sparse s;
  s.nx = (grid.nx - 1) / step + 1;
  s.ny = (grid.ny - 1) / step + 1;
  s.gap.assign(static_cast<std::size_t>(s.nx) * static_cast<std::size_t>(s.ny), 0.0F);
  s.height = s.gap;
  for (int j = 0; j < s.ny; ++j)
    for (int i = 0; i < s.nx; ++i) {
      if (inside[grid.index(i * step, j * step)] == 0) continue;
      const DrawColumn column = lines.at(grid.at(i * step, j * step));
      if (column.intervals < 2) continue;
      const std::size_t k = static_cast<std::size_t>(j) * static_cast<std::size_t>(s.nx) +
                            static_cast<std::size_t>(i);
      s.gap[k] = static_cast<float>(column.gap);
      s.height[k] = static_cast<float>(column.gap_middle);
    }
  return s;
}

}  // namespace

std::vector<Undercut> find_undercuts(const DrawLines& lines, const PlanGrid& grid,
                                     const std::vector<std::uint8_t>& inside) {
  const auto melt = static_cast<double>(std::count(inside.begin(), inside.end(), 1));
  const int step = std::max(1, static_cast<int>(std::ceil(std::sqrt(melt / most_lines))));
  Sparse s = look(lines, grid, inside, step);
  std::vector<Undercut> undercuts;
  std::vector<std::pair<int, int>> piece;
  for (int j0 = 0; j0 < s.ny; ++j0)
    for (int i0 = 0; i0 < s.nx; ++i0) {
      const auto at = [&](int i, int j) {
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(s.nx) +
               static_cast<std::size_t>(i);
      };
      if (!(s.gap[at(i0, j0)] > 0.0F)) continue;
      piece.assign(1, {i0, j0});
      Undercut u;
      Box box;
      double x = 0.0, y = 0.0, z = 0.0;
      u.gap = s.gap[at(i0, j0)];
      s.gap[at(i0, j0)] = 0.0F;
      for (std::size_t k = 0; k < piece.size(); ++k) {
        const auto [i, j] = piece[k];
        const Point p = grid.at(i * step, j * step);
        box.add(p);
        x += p.x;
        y += p.y;
        z += s.height[at(i, j)];
        for (int dj = -1; dj <= 1; ++dj)
          for (int di = -1; di <= 1; ++di) {
            const int ni = i + di, nj = j + dj;
            if (ni < 0 || nj < 0 || ni >= s.nx || nj >= s.ny) continue;
            float& gap = s.gap[at(ni, nj)];
            if (!(gap > 0.0F)) continue;
            u.gap = std::max(u.gap, static_cast<double>(gap));
            gap = 0.0F;
            piece.emplace_back(ni, nj);
          }
      }
      if (piece.size() < 2) continue;
      const auto n = static_cast<double>(piece.size());
      u.at = {x / n, y / n, z / n};
      u.size = std::max(box.high.x - box.low.x, box.high.y - box.low.y) + step * grid.cell;
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
