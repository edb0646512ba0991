#include "mesh/solid/plan_scan.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace firstshot {
namespace {

/// Gaps in the shadow that are shorter than this are rounding [m].
constexpr double closed_gap = 2e-8;

/// Stretch of a line that one triangle shades.
struct Stretch {
  double low, high;
  Point low_tangent, high_tangent;
};

/// Coordinates along and across the lines.
struct Axes {
  bool swapped;
  double along(const Point3& p) const { return swapped ? p.y : p.x; }
  double across(const Point3& p) const { return swapped ? p.x : p.y; }
  double first, step;
  int n;
};

bool faces_up(const Shell& shell, const std::array<std::int32_t, 3>& t) {
  const Point3 &a = shell.points[t[0]], &b = shell.points[t[1]], &c = shell.points[t[2]];
  return cross(Point{b.x - a.x, b.y - a.y}, Point{c.x - a.x, c.y - a.y}) > 0.0;
}

/// Lines that a triangle meets: numbers from first to one past the last.
struct Range {
  int first, end;
};
Range lines_met(const Shell& shell, const std::array<std::int32_t, 3>& t, const Axes& axes) {
  double low = 1e300, high = -1e300;
  for (const std::int32_t c : t) {
    low = std::min(low, axes.across(shell.points[c]));
    high = std::max(high, axes.across(shell.points[c]));
  }
  const int first = std::max(0, static_cast<int>(std::floor((low - axes.first) / axes.step)));
  const int end =
      std::min(axes.n, static_cast<int>(std::ceil((high - axes.first) / axes.step)) + 1);
  return {first, std::max(first, end)};
}

/// The stretch of the line at `across`, if the triangle meets it. A corner on the line counts as
/// above it, so that neighbours agree.
bool stretch(const Shell& shell, const std::array<std::int32_t, 3>& t, const Axes& axes,
             double across, Stretch& s) {
  int found = 0;
  for (std::size_t k = 0; k < 3; ++k) {
    const std::int32_t low = std::min(t[k], t[(k + 1) % 3]), high = std::max(t[k], t[(k + 1) % 3]);
    const Point3 &a = shell.points[low], &b = shell.points[high];
    const double sa = axes.across(a), sb = axes.across(b);
    if ((sa < across) == (sb < across)) continue;
    const double at = axes.along(a) + (axes.along(b) - axes.along(a)) * ((across - sa) / (sb - sa));
    const Point tangent = {b.x - a.x, b.y - a.y};
    if (found == 0 || at < s.low) {
      s.low = at;
      s.low_tangent = tangent;
    }
    if (found == 0 || at > s.high) {
      s.high = at;
      s.high_tangent = tangent;
    }
    ++found;
  }
  return found >= 2;
}

void join(std::vector<Stretch>& stretches, ScanLines& lines) {
  std::sort(stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) {
    if (a.low != b.low) return a.low < b.low;
    if (a.high != b.high) return a.high < b.high;
    return std::pair(a.low_tangent.x, a.low_tangent.y) <
           std::pair(b.low_tangent.x, b.low_tangent.y);
  });
  for (std::size_t i = 0; i < stretches.size();) {
    Stretch whole = stretches[i];
    for (++i; i < stretches.size() && stretches[i].low <= whole.high + closed_gap; ++i) {
      if (stretches[i].high <= whole.high) continue;
      whole.high = stretches[i].high;
      whole.high_tangent = stretches[i].high_tangent;
    }
    if (whole.high - whole.low <= closed_gap) continue;
    lines.crossings.push_back({whole.low, whole.low_tangent});
    lines.crossings.push_back({whole.high, whole.high_tangent});
  }
}

ScanLines scan(const Shell& shell, const Axes& axes) {
  // Triangles by the line that they meet first, then carried along while they last.
  std::vector<std::int64_t> start(static_cast<std::size_t>(axes.n) + 1, 0);
  std::vector<std::int32_t> order;
  const auto each = [&](auto&& use) {
    for (std::size_t i = 0; i < shell.triangles.size(); ++i) {
      if (!faces_up(shell, shell.triangles[i])) continue;
      const Range range = lines_met(shell, shell.triangles[i], axes);
      if (range.first < range.end) use(static_cast<std::int32_t>(i), range);
    }
  };
  each([&](std::int32_t, const Range& range) { ++start[range.first + 1]; });
  std::partial_sum(start.begin(), start.end(), start.begin());
  order.resize(static_cast<std::size_t>(start.back()));
  std::vector<std::int64_t> next(start.begin(), start.end() - 1);
  each([&](std::int32_t i, const Range& range) { order[next[range.first]++] = i; });

  ScanLines lines;
  lines.start.push_back(0);
  std::vector<std::int32_t> active;
  std::vector<Stretch> stretches;
  for (int line = 0; line < axes.n; ++line) {
    const double across = axes.first + line * axes.step;
    for (std::int64_t k = start[line]; k < start[line + 1]; ++k) active.push_back(order[k]);
    stretches.clear();
    std::size_t kept = 0;
    for (const std::int32_t i : active) {
      const auto& t = shell.triangles[i];
      Stretch s{};
      if (stretch(shell, t, axes, across, s)) stretches.push_back(s);
      const double highest =
          std::max({axes.across(shell.points[t[0]]), axes.across(shell.points[t[1]]),
                    axes.across(shell.points[t[2]])});
      if (highest > across) active[kept++] = i;
    }
    active.resize(kept);
    join(stretches, lines);
    lines.start.push_back(lines.crossings.size());
  }
  return lines;
}

}  // namespace

PlanGrid plan_grid(const Box& box, double cell) {
  // Shares of a cell that no drawing in round numbers hits.
  constexpr double offset_x = 1.4142136, offset_y = 1.7320508;
  PlanGrid grid;
  grid.cell = cell;
  grid.low = {box.low.x - offset_x * cell, box.low.y - offset_y * cell};
  grid.nx = static_cast<int>(std::ceil((box.high.x - grid.low.x) / cell)) + 2;
  grid.ny = static_cast<int>(std::ceil((box.high.y - grid.low.y) / cell)) + 2;
  return grid;
}

ScanLines scan_rows(const Shell& shell, const PlanGrid& grid) {
  return scan(shell, {false, grid.low.y, grid.cell, grid.ny});
}

ScanLines scan_columns(const Shell& shell, const PlanGrid& grid) {
  return scan(shell, {true, grid.low.x, grid.cell, grid.nx});
}

std::vector<std::uint8_t> shadow(const PlanGrid& grid, const ScanLines& rows) {
  std::vector<std::uint8_t> inside(grid.size(), 0);
  for (int j = 0; j < grid.ny; ++j)
    for (std::size_t k = rows.start[j]; k + 1 < rows.start[j + 1]; k += 2) {
      const double first = std::ceil((rows.crossings[k].at - grid.low.x) / grid.cell);
      for (int i = std::max(0, static_cast<int>(first)); i < grid.nx; ++i) {
        if (grid.x(i) > rows.crossings[k + 1].at) break;
        if (grid.x(i) >= rows.crossings[k].at) inside[grid.index(i, j)] = 1;
      }
    }
  return inside;
}

}  // namespace firstshot
