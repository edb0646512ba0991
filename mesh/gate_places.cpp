#include "mesh/gate_places.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "mesh/outline.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double shortest = 0.5e-3;   ///< a gate that is no step on the runner [m]
constexpr double clear_widths = 2.0;  ///< from the middle of another gate, in widths
constexpr double squareness = 0.7;    ///< cosine against the normal of the rim at least
constexpr int checks = 24;            ///< along a gate

/// The nearest place on a runner's line.
std::optional<GatePlace> from_runner(const Layout& layout, Point to) {
  std::optional<GatePlace> best;
  for (const RunnerLine& runner : layout.runners)
    for (std::size_t k = 0; k + 1 < runner.points.size(); ++k) {
      const Foot foot = foot_on(runner.points[k], runner.points[k + 1], to);
      if (!best || foot.distance < best->length) best = GatePlace{foot.at, to, foot.distance};
    }
  return best;
}

/// Whether no area stands in the way.
bool is_free(const std::vector<std::vector<Point>>& outlines, const GatePlace& place) {
  for (int k = 0; k < checks; ++k) {
    const Point p = between(place.from, place.to, k / static_cast<double>(checks));
    for (const auto& outline : outlines)
      if (contains(outline, p)) return false;
  }
  return true;
}

bool is_clear(const Layout& layout, const GatePlace& place, double width) {
  return std::none_of(layout.gates.begin(), layout.gates.end(), [&](const GateLine& gate) {
    const double apart = clear_widths * std::max(width, gate.width);
    return foot_on(place.from, place.to, gate.to).distance < apart ||
           foot_on(gate.from, gate.to, place.to).distance < apart;
  });
}

}  // namespace

std::vector<GatePlace> gate_places(const Layout& layout, const Area& area, double longest,
                                   double width) {
  const ArcRule arcs;
  std::vector<std::vector<Point>> outlines;
  for (const Area& other : layout.areas)
    outlines.push_back(closed_line(other.outline, arcs).points);
  const std::vector<Point> rim = closed_line(area.outline, arcs).points;
  std::vector<GatePlace> places;
  for (std::size_t k = 0; k < rim.size(); ++k) {
    const Point a = rim[k], b = rim[(k + 1) % rim.size()];
    const double side = distance(a, b);
    const auto n = static_cast<int>(side / width - 1.0);  // mouths end short of the corners
    for (int i = 0; i < n; ++i) {
      const Point to = between(a, b, (i + 1.0) / (n + 1.0));
      const std::optional<GatePlace> place = from_runner(layout, to);
      if (!place || place->length < shortest || place->length > longest) continue;
      const Point outward = -1.0 / side * turned_left(b - a);
      if (dot(place->from - to, outward) < squareness * place->length) continue;
      if (is_clear(layout, *place, width) && is_free(outlines, *place)) places.push_back(*place);
    }
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const GatePlace& x, const GatePlace& y) { return x.length < y.length; });
  return places;
}

}  // namespace firstshot
