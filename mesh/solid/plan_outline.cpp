#include "mesh/solid/plan_outline.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <unordered_map>

#include "mesh/outline.hpp"

namespace firstshot {
namespace {

/// Directions of the rim in a cell that differ by less are one [sine].
constexpr double same_direction = 0.01;
/// How far beyond its cell a corner may lie, in cells: its crossings bound it when it is true.
constexpr double corner_margin = 0.05;
constexpr double least_cells = 4.0;

/// A crossing of the rim with a side of the grid and what follows it along the rim.
struct RimPoint {
  Point at, tangent;
  std::int32_t next = -1;
  bool has_corner = false;
  Point corner;  ///< between this point and the next
};

class Marcher {
 public:
  Marcher(const PlanGrid& grid, const std::vector<std::uint8_t>& inside, const ScanLines& rows,
          const ScanLines& columns)
      : grid_(grid), inside_(inside), rows_(rows), columns_(columns) {}

  std::vector<PlanLoop> run() {
    for (int j = 0; j + 1 < grid_.ny; ++j)
      for (int i = 0; i + 1 < grid_.nx; ++i) march(i, j);
    std::vector<PlanLoop> loops;
    std::vector<bool> done(points_.size(), false);
    for (std::size_t seed = 0; seed < points_.size(); ++seed) {
      if (done[seed]) continue;
      PlanLoop loop;
      for (std::size_t p = seed; !done[p]; p = static_cast<std::size_t>(points_[p].next)) {
        done[p] = true;
        loop.push_back(points_[p].at);
        if (points_[p].has_corner) loop.push_back(points_[p].corner);
      }
      if (std::abs(signed_area(loop)) >= least_cells * grid_.cell * grid_.cell)
        loops.push_back(std::move(loop));
    }
    return loops;
  }

 private:
  /// Crossing on the side from grid point (i, j) along x, or along y.
  std::int32_t crossing(int i, int j, bool upright) {
    const std::uint64_t key = 2 * static_cast<std::uint64_t>(grid_.index(i, j)) + (upright ? 1 : 0);
    const auto [entry, fresh] = slot_.try_emplace(key, static_cast<std::int32_t>(points_.size()));
    if (!fresh) return entry->second;
    const ScanLines& lines = upright ? columns_ : rows_;
    const std::size_t line = static_cast<std::size_t>(upright ? i : j);
    const double low = upright ? grid_.y(j) : grid_.x(i), high = low + grid_.cell;
    const bool enters = inside_[grid_.index(i, j)] == 0;
    // Crossings alternate; of those that go the right way the nearest to the side is meant.
    double best = 1e300, at = 0.5 * (low + high);
    Point tangent;
    const auto begin = lines.crossings.begin() + static_cast<std::ptrdiff_t>(lines.start[line]);
    const auto end = lines.crossings.begin() + static_cast<std::ptrdiff_t>(lines.start[line + 1]);
    auto k = std::lower_bound(begin, end, low - grid_.cell,
                              [](const RimCrossing& c, double x) { return c.at < x; });
    for (; k != end && k->at <= high + grid_.cell; ++k) {
      if (((k - begin) % 2 == 0) != enters) continue;
      const double off = std::max({low - k->at, k->at - high, 0.0});
      if (off >= best) continue;
      best = off;
      at = std::clamp(k->at, low, high);
      tangent = k->tangent;
    }
    RimPoint p;
    p.at = upright ? Point{grid_.x(i), at} : Point{at, grid_.y(j)};
    p.tangent = tangent;
    points_.push_back(p);
    return entry->second;
  }

  void march(int i, int j) {
    const std::array<bool, 4> in = {
        inside_[grid_.index(i, j)] != 0, inside_[grid_.index(i + 1, j)] != 0,
        inside_[grid_.index(i + 1, j + 1)] != 0, inside_[grid_.index(i, j + 1)] != 0};
    if (in[0] == in[1] && in[1] == in[2] && in[2] == in[3]) return;
    const auto side = [&](std::size_t k) {
      if (k == 0) return crossing(i, j, false);
      if (k == 1) return crossing(i + 1, j, true);
      if (k == 2) return crossing(i, j + 1, false);
      return crossing(i, j, true);
    };
    // The rim leaves a corner's stretch where walking round the cell goes out of the shadow, and
    // ends where that stretch began. Two stretches in one cell stay apart.
    for (std::size_t k = 0; k < 4; ++k) {
      if (!in[k] || in[(k + 1) % 4]) continue;
      std::size_t first = k;
      while (in[(first + 3) % 4]) first = (first + 3) % 4;
      const std::int32_t from = side(k), to = side((first + 3) % 4);
      points_[from].next = to;
      find_corner(points_[from], points_[to], i, j);
    }
  }

  void find_corner(RimPoint& a, const RimPoint& b, int i, int j) const {
    const double size = norm(a.tangent) * norm(b.tangent);
    const double sine = cross(a.tangent, b.tangent);
    if (!(std::abs(sine) > same_direction * size)) return;
    const double s = cross(b.at - a.at, b.tangent) / sine;
    const Point p = a.at + s * a.tangent;
    const double margin = corner_margin * grid_.cell;
    if (p.x < grid_.x(i) - margin || p.x > grid_.x(i + 1) + margin || p.y < grid_.y(j) - margin ||
        p.y > grid_.y(j + 1) + margin)
      return;
    a.has_corner = true;
    a.corner = p;
  }

  const PlanGrid& grid_;
  const std::vector<std::uint8_t>& inside_;
  const ScanLines &rows_, &columns_;
  std::unordered_map<std::uint64_t, std::int32_t> slot_;
  std::vector<RimPoint> points_;
};

/// Points of an open line that are needed to keep all others within `tolerance` of it.
void keep_needed(const PlanLoop& line, std::size_t first, std::size_t last, double tolerance,
                 std::vector<bool>& keep) {
  std::vector<std::pair<std::size_t, std::size_t>> stack = {{first, last}};
  while (!stack.empty()) {
    const auto [a, b] = stack.back();
    stack.pop_back();
    double worst = tolerance;
    std::size_t split = a;
    for (std::size_t k = a + 1; k < b; ++k) {
      const double d = foot_on(line[a], line[b % line.size()], line[k]).distance;
      if (d <= worst) continue;
      worst = d;
      split = k;
    }
    if (split == a) continue;
    keep[split] = true;
    stack.emplace_back(a, split);
    stack.emplace_back(split, b);
  }
}

PlanLoop straightened(const PlanLoop& loop, double tolerance) {
  // Both ends of the first piece: two points of the hull.
  std::size_t first = 0, far = 0;
  for (std::size_t k = 1; k < loop.size(); ++k)
    if (std::pair(loop[k].x, loop[k].y) < std::pair(loop[first].x, loop[first].y)) first = k;
  PlanLoop line(loop.begin() + static_cast<std::ptrdiff_t>(first), loop.end());
  line.insert(line.end(), loop.begin(), loop.begin() + static_cast<std::ptrdiff_t>(first));
  for (std::size_t k = 1; k < line.size(); ++k)
    if (distance(line[0], line[k]) > distance(line[0], line[far])) far = k;
  std::vector<bool> keep(line.size(), false);
  keep[0] = keep[far] = true;
  keep_needed(line, 0, far, tolerance, keep);
  keep_needed(line, far, line.size(), tolerance, keep);
  PlanLoop out;
  for (std::size_t k = 0; k < line.size(); ++k)
    if (keep[k]) out.push_back(line[k]);
  return out;
}

/// Replaces sides by corners, the one that moves the line least first.
class Collapser {
 public:
  Collapser(const PlanLoop& loop, double tolerance) : at_(loop), tolerance_(tolerance) {
    const auto n = static_cast<int>(loop.size());
    for (int k = 0; k < n; ++k) {
      before_.push_back((k + n - 1) % n);
      after_.push_back((k + 1) % n);
    }
    alive_.assign(loop.size(), true);
    left_ = n;
  }

  PlanLoop run() {
    constexpr int least_corners = 8;
    std::vector<Entry> heap;
    std::vector<int> version(at_.size(), 0);
    const auto push = [&](int b) {
      Entry e{0.0, b, ++version[b], {}};
      if (!collapse(b, e)) return;
      heap.push_back(e);
      std::push_heap(heap.begin(), heap.end());
    };
    for (int b = 0; b < static_cast<int>(at_.size()); ++b) push(b);
    while (!heap.empty() && left_ > least_corners) {
      std::pop_heap(heap.begin(), heap.end());
      const Entry e = heap.back();
      heap.pop_back();
      if (!alive_[e.b] || version[e.b] != e.version) continue;
      const int c = after_[e.b];
      at_[e.b] = e.corner;
      alive_[c] = false;
      after_[e.b] = after_[c];
      before_[after_[c]] = e.b;
      --left_;
      int k = before_[before_[e.b]];
      for (int i = 0; i < 5; ++i, k = after_[k]) push(k);
    }
    PlanLoop out;
    for (std::size_t k = 0; k < at_.size(); ++k)
      if (alive_[k]) out.push_back(at_[k]);
    return out;
  }

 private:
  struct Entry {
    double cost;
    int b, version;
    Point corner;
    bool operator<(const Entry& o) const { return cost != o.cost ? cost > o.cost : b > o.b; }
  };

  bool is_sharp(Point a, Point b, Point c) const {
    constexpr double cosine_of_40_deg = 0.766;
    const Point u = b - a, v = c - b;
    return dot(u, v) < cosine_of_40_deg * norm(u) * norm(v);
  }

  /// Side b → c of a, b, c, d becomes one corner on the line a-b or c-d that keeps the area.
  bool collapse(int ib, Entry& e) const {
    const int ic = after_[ib];
    const Point a = at_[before_[ib]], b = at_[ib], c = at_[ic], d = at_[after_[ic]];
    if (is_sharp(a, b, c) || is_sharp(b, c, d)) return false;
    const Point ad = d - a;
    const double length = norm(ad);
    if (!(length > 0.0)) return false;
    // Twice the area of a, b, c, d beyond the line a-d; the corner lies at that height over it.
    const double twice = cross(b - a, c - a) + cross(c - a, d - a);
    const double height = -twice / length;
    const Point across = (1.0 / length) * turned_left(ad);
    const auto height_of = [&](Point p) { return dot(p - a, across); };
    const auto on_line = [&](Point u, Point v) {
      const double rise = height_of(v) - height_of(u);
      return std::abs(rise) > 0.0 ? between(u, v, (height - height_of(u)) / rise) : v;
    };
    const Point corner =
        std::abs(height_of(b)) > std::abs(height_of(c)) ? on_line(a, b) : on_line(d, c);
    e.cost = std::max({foot_on(a, corner, b).distance, foot_on(corner, d, c).distance,
                       foot_on(b, c, corner).distance});
    e.corner = corner;
    return std::isfinite(e.cost) && e.cost <= tolerance_;
  }

  PlanLoop at_;
  double tolerance_;
  std::vector<int> before_, after_;
  std::vector<bool> alive_;
  int left_ = 0;
};

}  // namespace

std::vector<PlanLoop> plan_loops(const PlanGrid& grid, const std::vector<std::uint8_t>& inside,
                                 const ScanLines& rows, const ScanLines& columns) {
  return Marcher(grid, inside, rows, columns).run();
}

PlanLoop simplified(const PlanLoop& loop, double tolerance) {
  if (loop.size() < 4) return loop;
  // Well above the rounding of single precision in a frame of some 100 mm.
  constexpr double straight_share = 0.02;
  return Collapser(straightened(loop, straight_share * tolerance), tolerance).run();
}

}  // namespace firstshot
