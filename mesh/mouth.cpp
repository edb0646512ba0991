#include "mesh/mouth.hpp"

#include <cmath>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/outline.hpp"

namespace firstshot {
namespace {

/// A vertex this close to a line lies on it [m]: far above rounding, far below any edge.
constexpr double on_line = 1e-9;
/// An end of a mouth this close to a corner, in widths, is moved there: an edge that short would
/// ask for many elements, and the mouth's width matters little more than its logarithm.
constexpr double corner_share = 0.01;

/// Inserts p into every loop that runs along the side a–b; returns its index.
int split_side(Borders& borders, int a, int b, Point p) {
  const int inserted = static_cast<int>(borders.points.size());
  borders.points.push_back(p);
  for (BorderLoop& loop : borders.loops) {
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const int u = loop.points[i];
      const int v = loop.points[(i + 1) % loop.points.size()];
      if (!((u == a && v == b) || (u == b && v == a))) continue;
      loop.points.insert(loop.points.begin() + static_cast<std::ptrdiff_t>(i) + 1, inserted);
      loop.side.insert(loop.side.begin() + static_cast<std::ptrdiff_t>(i) + 1, loop.side[i]);
      ++i;
    }
  }
  return inserted;
}

/// Walks `way` along a loop from the middle of a side, forwards or backwards, and returns the point
/// of the graph at the end, inserted when there is none.
int point_after(Borders& borders, const RimPlace& place, double way, bool forward, double snap) {
  const BorderLoop& loop = borders.loops[place.loop];
  const std::size_t n = loop.points.size();
  std::size_t i = (static_cast<std::size_t>(place.position) + (forward ? 1 : 0)) % n;
  std::size_t previous = (static_cast<std::size_t>(place.position) + (forward ? 0 : 1)) % n;
  Point start = place.at;
  while (true) {
    const double side = distance(start, borders.points[loop.points[i]]);
    if (way <= side + snap) break;
    way -= side;
    start = borders.points[loop.points[i]];
    previous = i;
    i = (i + (forward ? 1 : n - 1)) % n;
  }
  const int a = loop.points[previous];
  const int b = loop.points[i];
  const double side = distance(start, borders.points[b]);
  if (way >= side - snap) return b;
  return split_side(borders, a, b, between(start, borders.points[b], way / side));
}

RimPlace nearest_on_loop(const Borders& borders, int l, Point p) {
  const auto& points = borders.loops[l].points;
  RimPlace nearest;
  nearest.distance = 1e300;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Foot foot =
        foot_on(borders.points[points[i]], borders.points[points[(i + 1) % points.size()]], p);
    if (foot.distance >= nearest.distance) continue;
    nearest = {l, static_cast<int>(i), foot.at, foot.distance};
  }
  return nearest;
}

double perimeter(const Borders& borders, const BorderLoop& loop) {
  double sum = 0.0;
  for (std::size_t i = 0; i < loop.points.size(); ++i) {
    sum += distance(borders.points[loop.points[i]],
                    borders.points[loop.points[(i + 1) % loop.points.size()]]);
  }
  return sum;
}

}  // namespace

RimPlace nearest_rim(const Borders& borders, Point p) {
  RimPlace nearest;
  nearest.distance = 1e300;
  for (std::size_t l = 0; l < borders.loops.size(); ++l) {
    const BorderKind kind = borders.loops[l].kind;
    if (kind != BorderKind::outline && kind != BorderKind::hole) continue;
    const RimPlace place = nearest_on_loop(borders, static_cast<int>(l), p);
    if (place.distance < nearest.distance) nearest = place;
  }
  return nearest;
}

Mouth cut_rim_mouth(Borders& borders, const RimPlace& place, double width, int n,
                    const std::string& entry) {
  const double whole = perimeter(borders, borders.loops[place.loop]);
  // Both ends may be moved to corners; they must not come together.
  if (width > whole * (1.0 - 4.0 * corner_share)) {
    throw GeometryError(entry + ": the mouth is " + in_mm(width) +
                            " wide, but the whole rim is only " + in_mm(whole) + " long",
                        place.at.x, place.at.y);
  }
  const double snap = std::max(snap_tolerance, corner_share * width);
  const int last = point_after(borders, place, width / 2.0, true, snap);
  // The first insertion may have renumbered the loop's sides, so the place is looked up again.
  const RimPlace same = nearest_on_loop(borders, place.loop, place.at);
  const int first = point_after(borders, same, width / 2.0, false, snap);

  Mouth mouth;
  mouth.centre = place.at;
  mouth.size = width / n;
  mouth.area = borders.loops[place.loop].area;
  const std::vector<int> points = borders.loops[place.loop].points;
  std::size_t i = 0;
  while (points[i] != first) ++i;
  while (points[i] != last) {
    const int a = points[i];
    i = (i + 1) % points.size();
    const Point start = borders.points[a];
    const Point end = borders.points[points[i]];
    mouth.sides.push_back({start, end});
    const int pieces = std::max(
        1, static_cast<int>(std::ceil(distance(start, end) / mouth.size * (1.0 - corner_share))));
    int previous = a;
    for (int k = 1; k < pieces; ++k) {
      previous = split_side(borders, previous, points[i],
                            between(start, end, static_cast<double>(k) / pieces));
    }
  }
  return mouth;
}

bool lies_on_stretch(const Mouth& mouth, Point p) {
  for (const auto& [a, b] : mouth.sides) {
    if (foot_on(a, b, p).distance <= on_line) return true;
  }
  return false;
}

std::vector<VertexId> vertices_in(const Mouth& mouth, const TriMesh& mesh) {
  Box box;
  for (const auto& [a, b] : mouth.sides) box.add(a), box.add(b);
  for (const Point p : mouth.disc) box.add(p);
  std::vector<VertexId> vertices;
  for (std::size_t i = 0; i < mesh.points.size(); ++i) {
    const Point p = mesh.points[make_id<VertexId>(i)];
    if (!box.holds(p, on_line)) continue;
    const bool in_disc =
        !mouth.disc.empty() && (contains(mouth.disc, p) || rim_distance(mouth.disc, p) <= on_line);
    if (in_disc || lies_on_stretch(mouth, p)) vertices.push_back(make_id<VertexId>(i));
  }
  return vertices;
}

}  // namespace firstshot
