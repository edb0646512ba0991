#include "mesh/borders.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <set>
#include <unordered_map>

#include "mesh/check_layout.hpp"
#include "mesh/crossings.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Every pass leads sides through points that lie on them; a led side may come to touch further
/// points.
constexpr int most_passes = 30;

/// Finds or adds points so that no two are closer than the tolerance.
class PointWeld {
 public:
  explicit PointWeld(std::vector<Point>& points) : points_(points) {
    for (std::size_t i = 0; i < points_.size(); ++i)
      cells_[key(points_[i], 0, 0)].push_back(int(i));
  }

  int add(Point p) {
    int nearest = -1;
    double nearest_distance = snap_tolerance;
    for (int dx = -1; dx <= 1; ++dx) {
      for (int dy = -1; dy <= 1; ++dy) {
        const auto cell = cells_.find(key(p, dx, dy));
        if (cell == cells_.end()) continue;
        for (const int i : cell->second) {
          const double d = distance(points_[i], p);
          if (d > nearest_distance || (d == nearest_distance && nearest >= 0)) continue;
          nearest = i;
          nearest_distance = d;
        }
      }
    }
    if (nearest >= 0) return nearest;
    points_.push_back(p);
    cells_[key(p, 0, 0)].push_back(static_cast<int>(points_.size()) - 1);
    return static_cast<int>(points_.size()) - 1;
  }

 private:
  static std::uint64_t key(Point p, int dx, int dy) {
    const auto x = static_cast<std::int64_t>(std::floor(p.x / snap_tolerance)) + dx;
    const auto y = static_cast<std::int64_t>(std::floor(p.y / snap_tolerance)) + dy;
    return (static_cast<std::uint64_t>(x) << 32) ^ (static_cast<std::uint64_t>(y) & 0xffffffffU);
  }

  std::vector<Point>& points_;
  std::unordered_map<std::uint64_t, std::vector<int>> cells_;
};

BorderLoop welded_loop(const ClosedLine& line, PointWeld& weld) {
  BorderLoop loop;
  for (std::size_t i = 0; i < line.points.size(); ++i) {
    const int p = weld.add(line.points[i]);
    if (!loop.points.empty() && loop.points.back() == p) {
      loop.side.back() = line.side[i];
      continue;
    }
    loop.points.push_back(p);
    loop.side.push_back(line.side[i]);
  }
  while (loop.points.size() > 1 && loop.points.back() == loop.points.front()) {
    loop.points.pop_back();
    loop.side.pop_back();
  }
  return loop;
}

void refuse_flat_loop(const Layout& layout, const Borders& borders, const BorderLoop& loop) {
  if (loop.points.size() >= 3) return;
  const Point at = loop.points.empty() ? Point{} : borders.points[loop.points[0]];
  throw GeometryError(loop_name(layout, loop) + " encloses no area", at.x, at.y);
}

/// A loop that passes a point twice touches itself there.
void refuse_touching_itself(const Layout& layout, const Borders& borders) {
  std::vector<int> last_loop(borders.points.size(), -1);
  std::vector<int> last_side(borders.points.size(), -1);
  for (std::size_t l = 0; l < borders.loops.size(); ++l) {
    const BorderLoop& loop = borders.loops[l];
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const int p = loop.points[i];
      if (last_loop[p] == static_cast<int>(l)) {
        throw GeometryError(loop_name(layout, loop) + " touches itself: side " +
                                std::to_string(last_side[p] + 1) + " and side " +
                                std::to_string(loop.side[i] + 1) + " meet where they must not",
                            borders.points[p].x, borders.points[p].y);
      }
      last_loop[p] = static_cast<int>(l);
      last_side[p] = loop.side[i];
    }
  }
}

Borders weld_all(const Layout& layout, const ArcRule& rule, std::span<const ClosedLine> mouths) {
  Borders borders;
  PointWeld weld(borders.points);
  const auto add = [&](const ClosedLine& line, BorderKind kind, int area, int item) {
    BorderLoop loop = welded_loop(line, weld);
    loop.kind = kind;
    loop.area = area;
    loop.item = item;
    refuse_flat_loop(layout, borders, loop);
    borders.loops.push_back(std::move(loop));
  };
  for (std::size_t a = 0; a < layout.areas.size(); ++a) {
    const Area& area = layout.areas[a];
    const int n = static_cast<int>(a);
    add(closed_line(area.outline, rule), BorderKind::outline, n, -1);
    for (std::size_t i = 0; i < area.holes.size(); ++i) {
      add(closed_line(area.holes[i], rule), BorderKind::hole, n, static_cast<int>(i));
    }
    for (std::size_t i = 0; i < area.steps.size(); ++i) {
      add(closed_line(area.steps[i].outline, rule), BorderKind::step, n, static_cast<int>(i));
    }
  }
  for (const ClosedLine& mouth : mouths) add(mouth, BorderKind::mouth, -1, -1);
  return borders;
}

/// Points of crossings become points of the graph, in the order along each side.
std::vector<Insertion> insertions_at(const std::vector<Crossing>& crossings, Borders& borders,
                                     const std::vector<BorderSide>& sides) {
  if (crossings.empty()) return {};
  PointWeld weld(borders.points);
  std::vector<std::vector<int>> on_side(sides.size());
  for (const Crossing& crossing : crossings) {
    const int p = weld.add(crossing.at);
    on_side[crossing.side].push_back(p);
    on_side[crossing.other].push_back(p);
  }
  std::vector<Insertion> insertions;
  for (std::size_t s = 0; s < sides.size(); ++s) {
    auto& points = on_side[s];
    const auto [a, b, uses] = sides[s];
    std::erase_if(points, [a = a, b = b](int p) { return p == a || p == b; });
    if (points.empty()) continue;
    const Point start = borders.points[a];
    std::sort(points.begin(), points.end(), [&](int p, int q) {
      return distance(start, borders.points[p]) < distance(start, borders.points[q]);
    });
    points.erase(std::unique(points.begin(), points.end()), points.end());
    insertions.push_back({static_cast<int>(s), points});
  }
  return insertions;
}

std::uint64_t side_key(int a, int b) {
  return (static_cast<std::uint64_t>(std::min(a, b)) << 32) |
         static_cast<std::uint32_t>(std::max(a, b));
}

}  // namespace

std::string loop_name(const Layout& layout, const BorderLoop& loop) {
  if (loop.kind == BorderKind::mouth) return "the rim of a round mouth";
  const std::string area = entry_name(layout.areas[loop.area]);
  if (loop.kind == BorderKind::hole) return area + ", hole " + std::to_string(loop.item + 1);
  if (loop.kind == BorderKind::step) return area + ", step " + std::to_string(loop.item + 1);
  return area + ": the outline";
}

std::vector<BorderSide> border_sides(const Borders& borders) {
  struct Use {
    int a, b, loop;
    bool forward;
  };
  std::vector<Use> uses;
  for (std::size_t l = 0; l < borders.loops.size(); ++l) {
    const auto& points = borders.loops[l].points;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const int p = points[i];
      const int q = points[(i + 1) % points.size()];
      uses.push_back({std::min(p, q), std::max(p, q), static_cast<int>(l), p < q});
    }
  }
  std::stable_sort(uses.begin(), uses.end(),
                   [](const Use& u, const Use& v) { return u.a != v.a ? u.a < v.a : u.b < v.b; });
  std::vector<BorderSide> sides;
  for (const Use& use : uses) {
    if (sides.empty() || sides.back().a != use.a || sides.back().b != use.b) {
      sides.push_back({use.a, use.b, {}});
    }
    sides.back().uses.push_back({use.loop, use.forward});
  }
  return sides;
}

void insert_points(Borders& borders, const std::vector<BorderSide>& sides,
                   std::span<const Insertion> insertions) {
  std::unordered_map<std::uint64_t, const Insertion*> of_side;
  std::set<int> loops;
  for (const Insertion& insertion : insertions) {
    of_side[side_key(sides[insertion.side].a, sides[insertion.side].b)] = &insertion;
    for (const SideUse& use : sides[insertion.side].uses) loops.insert(use.loop);
  }
  for (const int l : loops) {
    BorderLoop& loop = borders.loops[l];
    std::vector<int> points;
    std::vector<int> side;
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const int p = loop.points[i];
      const int q = loop.points[(i + 1) % loop.points.size()];
      points.push_back(p);
      if (const auto found = of_side.find(side_key(p, q)); found != of_side.end()) {
        const auto& inserted = found->second->points;
        if (p < q) {
          points.insert(points.end(), inserted.begin(), inserted.end());
        } else {
          points.insert(points.end(), inserted.rbegin(), inserted.rend());
        }
      }
      side.resize(points.size(), loop.side[i]);
    }
    loop.points = std::move(points);
    loop.side = std::move(side);
  }
}

Borders draw_borders(const Layout& layout, const ArcRule& rule,
                     std::span<const ClosedLine> mouths) {
  Borders borders = weld_all(layout, rule, mouths);
  for (int pass = 0; pass < most_passes; ++pass) {
    refuse_touching_itself(layout, borders);
    const std::vector<BorderSide> sides = border_sides(borders);
    const SegmentGrid grid = grid_of(borders, sides);
    std::vector<Insertion> insertions = points_on_sides(borders, sides, grid);
    if (insertions.empty()) {
      const std::vector<Crossing> crossings = find_crossings(borders, sides, grid);
      for (const Crossing& crossing : crossings) {
        refuse_crossing(layout, borders, sides, crossing);
      }
      insertions = insertions_at(crossings, borders, sides);
    }
    if (insertions.empty()) return borders;
    insert_points(borders, sides, insertions);
  }
  const Point at = borders.points[borders.loops[0].points[0]];
  throw GeometryError(
      "outlines run so close to each other that they cannot be joined; keep them "
      "either apart or exactly on each other",
      at.x, at.y);
}

}  // namespace firstshot
