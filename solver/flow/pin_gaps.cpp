#include "solver/flow/pin_gaps.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <optional>
#include <string>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr std::size_t n_pieces = 64;  // of a rim; 0.1 mm on a pin of 2 mm, well below an element
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();
constexpr std::size_t middle = n_pieces;  // index of the pin's middle among its places

[[noreturn]] void refuse(const EjectorPin& pin, const std::string& what) {
  const std::string name = pin.name.empty() ? "ejector" : "ejector \"" + pin.name + "\"";
  throw GeometryError((pin.origin.empty() ? "" : pin.origin + ": ") + name + what, pin.at.x,
                      pin.at.y);
}

/// Middles of the pieces of the rim, then the middle of the pin.
std::array<Point, n_pieces + 1> places_of(const EjectorPin& pin) {
  std::array<Point, n_pieces + 1> places;
  for (std::size_t k = 0; k < n_pieces; ++k) {
    const double angle = 2.0 * std::numbers::pi * (static_cast<double>(k) + 0.5) / n_pieces;
    places[k] = {pin.at.x + 0.5 * pin.diameter * std::cos(angle),
                 pin.at.y + 0.5 * pin.diameter * std::sin(angle)};
  }
  places[middle] = pin.at;
  return places;
}

double cross(const Point& a, const Point& b, const Point& p) {
  return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

/// Nearest corner of a triangle that holds the point.
std::optional<std::size_t> corner_near(const Model& model, TriId t, const Point& p) {
  const auto& [ia, ib, ic] = model.mesh.triangles[t];
  const Point &a = model.mesh.points[ia], &b = model.mesh.points[ib], &c = model.mesh.points[ic];
  if (cross(a, b, p) < 0.0 || cross(b, c, p) < 0.0 || cross(c, a, p) < 0.0) return std::nullopt;
  const auto away = [&](VertexId v) {
    return std::hypot(model.mesh.points[v].x - p.x, model.mesh.points[v].y - p.y);
  };
  VertexId best = ia;
  for (const VertexId v : {ib, ic})
    if (away(v) < away(best)) best = v;
  return index(model.node_of_vertex[best]);
}

/// Nearer end of a channel's element that the point lies over.
std::optional<std::size_t> end_near(const Model& model, const LineElement& line, const Point& p) {
  const Point3 &a = model.position[line.from], &b = model.position[line.to];
  const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
  if (!(square > 0.0)) return std::nullopt;
  const double share = ((p.x - a.x) * dx + (p.y - a.y) * dy) / square;
  if (share < 0.0 || share > 1.0) return std::nullopt;
  const double beside = std::abs((p.x - a.x) * dy - (p.y - a.y) * dx) / std::sqrt(square);
  const double wide = width(line.start) + share * (width(line.end) - width(line.start));
  if (beside > 0.5 * wide) return std::nullopt;
  return index(share < 0.5 ? line.from : line.to);
}

/// Node under each place of a pin, `none` where there is no melt. Areas go before channels.
std::array<std::size_t, n_pieces + 1> nodes_under(const Model& model, const EjectorPin& pin) {
  const std::array<Point, n_pieces + 1> places = places_of(pin);
  std::array<std::size_t, n_pieces + 1> nodes;
  nodes.fill(none);
  const double radius = 0.5 * pin.diameter;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    const auto& [ia, ib, ic] = model.mesh.triangles[t];
    const Point &a = model.mesh.points[ia], &b = model.mesh.points[ib], &c = model.mesh.points[ic];
    if (std::min({a.x, b.x, c.x}) > pin.at.x + radius ||
        std::max({a.x, b.x, c.x}) < pin.at.x - radius ||
        std::min({a.y, b.y, c.y}) > pin.at.y + radius ||
        std::max({a.y, b.y, c.y}) < pin.at.y - radius)
      continue;
    for (std::size_t k = 0; k < places.size(); ++k)
      if (nodes[k] == none)
        if (const auto node = corner_near(model, t, places[k])) nodes[k] = *node;
  }
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[static_cast<std::size_t>(line.channel)].role == Role::sprue) continue;
    for (std::size_t k = 0; k < places.size(); ++k)
      if (nodes[k] == none)
        if (const auto node = end_near(model, line, places[k])) nodes[k] = *node;
  }
  return nodes;
}

}  // namespace

std::vector<PinArc> pin_arcs(const Model& model, const EjectorPin& pin) {
  if (!(pin.diameter > 0.0) || !(pin.clearance > 0.0) || !(pin.land > 0.0))
    refuse(pin, " must have diameter, clearance and land above 0");
  const std::array<std::size_t, n_pieces + 1> nodes = nodes_under(model, pin);
  const double piece = std::numbers::pi * pin.diameter / n_pieces;
  std::map<std::size_t, double> length;
  for (std::size_t k = 0; k < n_pieces; ++k)
    if (nodes[k] != none) length[nodes[k]] += piece;
  if (length.empty() && nodes[middle] == none)
    refuse(pin, ".at lies on no part and no runner; allowed: a place on the frame");
  std::vector<PinArc> arcs;
  arcs.reserve(length.size());
  for (const auto& [node, arc] : length) arcs.push_back({node, arc});
  return arcs;
}

}  // namespace firstshot
