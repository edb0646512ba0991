#include "mesh/solid/draw_lines.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/solid/space.hpp"

namespace firstshot {
namespace {

constexpr double least_stretch_share = 1e-6;
/// Cells per triangle: a line then meets few triangles, and the list stays of the size of the
/// solid.
constexpr double cells_per_triangle = 1.0;
constexpr double most_cells = 4e6;

Point plan(const Point3& p) { return {p.x, p.y}; }

/// Twice the signed area of p with an edge, its ends taken in rising order of their numbers, so
/// that both triangles at the edge get the same number with opposite sign.
double side_of(const Shell& shell, std::int32_t a, std::int32_t b, Point p) {
  const std::int32_t low = std::min(a, b), high = std::max(a, b);
  const Point u = plan(shell.points[low]), v = plan(shell.points[high]);
  const double twice = cross(v - u, p - u);
  return low == a ? twice : -twice;
}

/// Whether p is on the left of a → b; on the edge itself one of its two directions says yes.
bool is_left(const Shell& shell, std::int32_t a, std::int32_t b, Point p) {
  const double s = side_of(shell, a, b, p);
  return s > 0.0 || (s == 0.0 && a < b);
}

}  // namespace

DrawLines::DrawLines(const Shell& shell) : shell_(shell) {
  Box3 space;
  for (const Point3& p : shell.points) {
    box_.add(plan(p));
    space.add(p);
  }
  least_ = least_stretch_share * space.diagonal();
  const double width = box_.high.x - box_.low.x, height = box_.high.y - box_.low.y;
  const double cells = std::clamp(cells_per_triangle * static_cast<double>(shell.triangles.size()),
                                  16.0, most_cells);
  cell_ = std::max(std::sqrt(std::max(width * height, 0.0) / cells),
                   std::max(width, height) / most_cells * 4.0);
  nx_ = static_cast<std::int32_t>(width / cell_) + 1;
  ny_ = static_cast<std::int32_t>(height / cell_) + 1;
  start_.assign(static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ny_) + 1, 0);
  const auto each = [&](auto&& use) {
    for (std::size_t i = 0; i < shell.triangles.size(); ++i) {
      const auto& t = shell.triangles[i];
      const std::array<Point, 3> c = {plan(shell.points[t[0]]), plan(shell.points[t[1]]),
                                      plan(shell.points[t[2]])};
      if (cross(c[1] - c[0], c[2] - c[0]) == 0.0) continue;
      visit_cells(c, [&](std::size_t cell) { use(i, cell); });
    }
  };
  each([&](std::size_t, std::size_t cell) { ++start_[cell + 1]; });
  for (std::size_t k = 1; k < start_.size(); ++k) start_[k] += start_[k - 1];
  list_.resize(static_cast<std::size_t>(start_.back()));
  std::vector<std::int64_t> next(start_.begin(), start_.end() - 1);
  each(
      [&](std::size_t i, std::size_t cell) { list_[next[cell]++] = static_cast<std::int32_t>(i); });
}

std::int32_t DrawLines::column_of(double x) const {
  return std::clamp(static_cast<std::int32_t>((x - box_.low.x) / cell_), 0, nx_ - 1);
}
std::int32_t DrawLines::row_of(double y) const {
  return std::clamp(static_cast<std::int32_t>((y - box_.low.y) / cell_), 0, ny_ - 1);
}

/// Row by row, so that a long thin triangle across the frame does not fill its whole box.
template <class Visit>
void DrawLines::visit_cells(const std::array<Point, 3>& c, const Visit& visit) const {
  const double y_low = std::min({c[0].y, c[1].y, c[2].y}),
               y_high = std::max({c[0].y, c[1].y, c[2].y});
  const std::int32_t first = row_of(y_low), last = row_of(y_high);
  for (std::int32_t row = first; row <= last; ++row) {
    double x_low = 1e300, x_high = -1e300;
    if (first == last) {
      x_low = std::min({c[0].x, c[1].x, c[2].x});
      x_high = std::max({c[0].x, c[1].x, c[2].x});
    } else {
      const double low = box_.low.y + row * cell_, high = low + cell_;
      for (std::size_t k = 0; k < 3; ++k) {
        const Point a = c[k], b = c[(k + 1) % 3];
        if (std::max(a.y, b.y) < low || std::min(a.y, b.y) > high) continue;
        for (const double y : {std::clamp(a.y, low, high), std::clamp(b.y, low, high)}) {
          const double x = a.y == b.y
                               ? (y == a.y ? a.x : b.x)
                               : a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0);
          x_low = std::min(x_low, x);
          x_high = std::max(x_high, x);
        }
        if (a.y == b.y) {
          x_low = std::min({x_low, a.x, b.x});
          x_high = std::max({x_high, a.x, b.x});
        }
      }
      // Rounding must not lose a cell.
      x_low -= 1e-6 * cell_;
      x_high += 1e-6 * cell_;
    }
    if (x_low > x_high) continue;
    const std::int32_t end = column_of(x_high);
    for (std::int32_t column = column_of(x_low); column <= end; ++column)
      visit(static_cast<std::size_t>(row) * static_cast<std::size_t>(nx_) +
            static_cast<std::size_t>(column));
  }
}

void DrawLines::collect(Point p, std::vector<Hit>& hits) const {
  hits.clear();
  const std::size_t cell = static_cast<std::size_t>(row_of(p.y)) * static_cast<std::size_t>(nx_) +
                           static_cast<std::size_t>(column_of(p.x));
  for (std::int64_t k = start_[cell]; k < start_[cell + 1]; ++k) {
    const auto& t = shell_.triangles[list_[k]];
    const bool left = is_left(shell_, t[0], t[1], p);
    if (is_left(shell_, t[1], t[2], p) != left || is_left(shell_, t[2], t[0], p) != left) continue;
    const Point3 &a = shell_.points[t[0]], &b = shell_.points[t[1]], &c = shell_.points[t[2]];
    const double wa = side_of(shell_, t[1], t[2], p), wb = side_of(shell_, t[2], t[0], p),
                 wc = side_of(shell_, t[0], t[1], p);
    const double sum = wa + wb + wc;
    const double z = sum != 0.0 ? (wa * a.z + wb * b.z + wc * c.z) / sum : a.z;
    // Nearly upright triangles: the quotient may leave the triangle by rounding.
    hits.push_back(
        {std::clamp(z, std::min({a.z, b.z, c.z}), std::max({a.z, b.z, c.z})), left ? -1 : 1});
  }
}

DrawColumn DrawLines::at(Point p) const {
  DrawColumn column;
  if (!box_.holds(p, 0.0)) return column;
  static thread_local std::vector<Hit> hits;
  collect(p, hits);
  if (hits.size() < 2) return column;
  std::sort(hits.begin(), hits.end(),
            [](const Hit& a, const Hit& b) { return a.z != b.z ? a.z < b.z : a.step > b.step; });
  int winding = 0;
  double enter = 0.0, longest = 0.0;
  for (const Hit& hit : hits) {
    const int before = winding;
    winding += hit.step;
    if (before <= 0 && winding > 0) enter = hit.z;
    if (!(before > 0 && winding <= 0) || hit.z - enter < least_) continue;
    if (column.intervals > 0 && enter - column.upper < least_) {
      column.upper = hit.z;
      continue;
    }
    if (column.intervals == 0) {
      column.lower = enter;
    } else {
      const double gap = enter - column.upper;
      column.gap += gap;
      if (gap > longest) {
        longest = gap;
        column.gap_middle = 0.5 * (enter + column.upper);
      }
    }
    column.upper = hit.z;
    ++column.intervals;
  }
  return column;
}

}  // namespace firstshot
