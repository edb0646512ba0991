#include "mesh/crossings.hpp"

#include <algorithm>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Number of the drawn side that a use of a graph side is part of.
int drawn_side(const BorderLoop& loop, const BorderSide& side) {
  const std::size_t n = loop.points.size();
  for (std::size_t i = 0; i < n; ++i) {
    const int p = loop.points[i];
    const int q = loop.points[(i + 1) % n];
    if (std::min(p, q) == side.a && std::max(p, q) == side.b) return loop.side[i];
  }
  return 0;
}

[[noreturn]] void refuse(const Layout& layout, const Borders& borders, const BorderSide& side,
                         const BorderSide& other, std::array<int, 2> loops, Point at) {
  const BorderLoop& u = borders.loops[loops[0]];
  const BorderLoop& v = borders.loops[loops[1]];
  if (loops[0] == loops[1]) {
    const int i = drawn_side(u, side) + 1;
    const int j = drawn_side(v, other) + 1;
    throw GeometryError(loop_name(layout, u) + " crosses itself: side " +
                            std::to_string(std::min(i, j)) + " crosses side " +
                            std::to_string(std::max(i, j)),
                        at.x, at.y);
  }
  if (u.area == v.area) {
    const BorderLoop& inner = u.kind == BorderKind::outline ? v : u;
    throw GeometryError(
        loop_name(layout, inner) + " reaches outside the part's outline; it must lie inside", at.x,
        at.y);
  }
  throw GeometryError(entry_name(layout.areas[std::min(u.area, v.area)]) + " and " +
                          entry_name(layout.areas[std::max(u.area, v.area)]) +
                          " overlap; areas may touch but not cover each other",
                      at.x, at.y);
}

bool may_cross(const BorderLoop& u, const BorderLoop& v) {
  if (u.kind == BorderKind::mouth || v.kind == BorderKind::mouth) return true;
  return u.area == v.area && u.kind != BorderKind::outline && v.kind != BorderKind::outline;
}

}  // namespace

SegmentGrid grid_of(const Borders& borders, const std::vector<BorderSide>& sides) {
  std::vector<std::array<Point, 2>> ends;
  ends.reserve(sides.size());
  for (const BorderSide& side : sides) {
    ends.push_back({borders.points[side.a], borders.points[side.b]});
  }
  return SegmentGrid(std::move(ends));
}

std::vector<Insertion> points_on_sides(const Borders& borders, const std::vector<BorderSide>& sides,
                                       const SegmentGrid& grid) {
  std::vector<Insertion> insertions;
  std::vector<int> found;
  for (std::size_t s = 0; s < sides.size(); ++s) {
    const BorderSide& side = sides[s];
    const Point a = borders.points[side.a];
    const Point b = borders.points[side.b];
    std::vector<std::pair<double, int>> on_side;
    grid.near(a, b, snap_tolerance, found);
    for (const int other : found) {
      for (const int p : {sides[other].a, sides[other].b}) {
        if (p == side.a || p == side.b) continue;
        const Foot foot = foot_on(a, b, borders.points[p]);
        if (foot.distance <= snap_tolerance && foot.share > 0.0 && foot.share < 1.0) {
          on_side.emplace_back(foot.share, p);
        }
      }
    }
    if (on_side.empty()) continue;
    std::sort(on_side.begin(), on_side.end());
    Insertion insertion{static_cast<int>(s), {}};
    for (const auto& [share, p] : on_side) {
      if (insertion.points.empty() || insertion.points.back() != p) insertion.points.push_back(p);
    }
    insertions.push_back(std::move(insertion));
  }
  return insertions;
}

std::vector<Crossing> find_crossings(const Borders& borders, const std::vector<BorderSide>& sides,
                                     const SegmentGrid& grid) {
  std::vector<Crossing> crossings;
  std::vector<int> found;
  for (std::size_t s = 0; s < sides.size(); ++s) {
    const Point a = borders.points[sides[s].a];
    const Point b = borders.points[sides[s].b];
    grid.near(a, b, 0.0, found);
    for (const int other : found) {
      const BorderSide& t = sides[other];
      if (other <= static_cast<int>(s) || t.a == sides[s].a || t.a == sides[s].b ||
          t.b == sides[s].a || t.b == sides[s].b) {
        continue;
      }
      const Point c = borders.points[t.a];
      const Point d = borders.points[t.b];
      const double c_side = cross(b - a, c - a);
      const double d_side = cross(b - a, d - a);
      if ((c_side > 0.0) == (d_side > 0.0)) continue;
      if ((cross(d - c, a - c) > 0.0) == (cross(d - c, b - c) > 0.0)) continue;
      crossings.push_back({static_cast<int>(s), other, between(c, d, c_side / (c_side - d_side))});
    }
  }
  return crossings;
}

void refuse_crossing(const Layout& layout, const Borders& borders,
                     const std::vector<BorderSide>& sides, const Crossing& crossing) {
  const BorderSide& side = sides[crossing.side];
  const BorderSide& other = sides[crossing.other];
  // A crossing inside one area is the cause, one with another area may only follow from it.
  for (const bool same_area : {true, false}) {
    for (const SideUse& u : side.uses) {
      for (const SideUse& v : other.uses) {
        const bool same = borders.loops[u.loop].area == borders.loops[v.loop].area;
        if (same != same_area) continue;
        if (u.loop == v.loop || !may_cross(borders.loops[u.loop], borders.loops[v.loop])) {
          refuse(layout, borders, side, other, {u.loop, v.loop}, crossing.at);
        }
      }
    }
  }
}

}  // namespace firstshot
