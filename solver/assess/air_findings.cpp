#include "solver/assess/air_findings.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <numbers>

#include "mesh/rim.hpp"
#include "solver/assess/trap_cause.hpp"
#include "solver/flow/air_gas.hpp"
#include "solver/flow/air_outlets.hpp"
#include "solver/flow/air_vent.hpp"

namespace firstshot {
namespace {

constexpr double usual_land = 1.5e-3;  ///< of a vent [m], common practice, no source
constexpr double least_width = 1e-3;   ///< of a proposed vent [m], common practice, no source
constexpr double width_step = 0.5e-3;  ///< proposals are rounded up to it [m]
constexpr double pin_land = 3e-3;      ///< of a pin that vents [m], common practice, no source
constexpr double largest_pin = 4e-3;   ///< that is proposed; above it several [m], own judgement
constexpr double least_pin = 1.5e-3;   ///< thinner ones buckle [m], common practice, no source
constexpr double end_reach = 5e-3;     ///< a blind end that far away still lets it out [m]
constexpr double left_share = 0.01;    ///< of a pocket's gas that may be left when it "got out"
/// Air near the pressure of the room holds nothing back: the part is just not full. Gauge [Pa], own
/// judgement
constexpr double compressed = 1e5;
constexpr double seen = 1e-11;  ///< a smaller void does not show [m³], own judgement
constexpr double mm = 1e-3, um = 1e-6, MPa = 1e6;

/// Name of the part or channel that each node belongs to (n_nodes).
std::vector<std::string> place_names(const Model& model) {
  std::vector<std::string> names(model.n_nodes());
  for (const LineElement& line : model.lines.span())
    for (NodeId end : {line.from, line.to})
      names[index(end)] = model.channels[static_cast<std::size_t>(line.channel)].name;
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    for (VertexId v : model.mesh.triangles[id])
      names[index(model.node_of_vertex[v])] =
          model.regions[static_cast<std::size_t>(model.mesh.region[id])].name;
  }
  return names;
}

/// Point of a loop at a length along it.
Point point_at(const TriMesh& mesh, const RimLoop& loop, double at) {
  const auto next = std::upper_bound(loop.at.begin() + 1, loop.at.end() - 1, at);
  const auto k = static_cast<std::size_t>(next - loop.at.begin()) - 1;
  const Point& a = mesh.points[loop.vertices[k]];
  const Point& b = mesh.points[loop.vertices[(k + 1) % loop.vertices.size()]];
  const double side = loop.at[k + 1] - loop.at[k];
  const double share = side > 0.0 ? (at - loop.at[k]) / side : 0.0;
  return {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

std::string in_mm(double length) {
  char text[40];
  std::snprintf(text, sizeof text, "%.1f mm", length / mm);
  return text;
}

/// @param moves what would move the air, in a face
std::string sentence(const VentProposal& v, double limit, const std::string& moves) {
  char text[700];
  if (v.reaches) {
    std::snprintf(text, sizeof text,
                  "a vent %.0f um deep, %.1f mm wide and %.1f mm long %s at (%.1f, %.1f) mm "
                  "keeps this air below %.2f MPa",
                  v.depth / um, v.width / mm, v.land / mm,
                  v.runner_end ? "on the end of the runner" : "on the edge", v.at.x / mm,
                  v.at.y / mm, limit / MPa);
    return text;
  }
  const PinProposal& pins = *v.pins;
  const std::string where = v.runner_end ? std::string("the runner has no blind end there")
                                         : "the nearest edge is " + in_mm(v.distance) + " away";
  const std::string what =
      pins.count == 1 ? "an ejector pin" : std::to_string(pins.count) + " ejector pins";
  std::snprintf(text, sizeof text,
                "no vent in the parting line reaches it, %s; %s; or "
                "let it out there through %s of at least %.1f mm with %.0f um of clearance on each "
                "side over %.0f mm; the last air may gather beside %s, so run the case again",
                where.c_str(), moves.c_str(), what.c_str(), pins.diameter / mm, pins.clearance / um,
                pins.land / mm, pins.count == 1 ? "it" : "them");
  return text;
}

/// @param rim of all pins together that the air needs [m]
PinProposal pins_for(double rim, double clearance) {
  PinProposal pins;
  pins.clearance = clearance;
  pins.land = pin_land;
  const double diameter = rim / std::numbers::pi;
  pins.count = std::max(1, static_cast<int>(std::ceil(diameter / largest_pin)));
  pins.diameter = std::max(least_pin, width_step * std::ceil(diameter / pins.count / width_step));
  return pins;
}

/// In a channel a vent can only be cut at a blind end.
void place_vent(const Model& model, const std::vector<RimLoop>& outer, const PocketTable& t,
                std::size_t p, VentProposal& v) {
  const Point at{t.x[p], t.y[p]};
  v.at = at;
  v.reaches = t.rim[p] > 0.0;
  v.runner_end = std::find(model.node_of_vertex.span().begin(), model.node_of_vertex.span().end(),
                           make_id<NodeId>(static_cast<std::size_t>(t.node[p]))) ==
                 model.node_of_vertex.span().end();
  if (!v.runner_end) {
    if (const auto place = nearest_rim(model.mesh, outer, at)) {
      v.distance = place->distance;
      v.at = point_at(model.mesh, outer[place->loop], place->at);
    }
    return;
  }
  v.distance = std::numeric_limits<double>::infinity();
  for (const std::size_t end : runner_ends(model)) {
    const Point3& there = model.position[make_id<NodeId>(end)];
    const double distance = std::hypot(there.x - at.x, there.y - at.y);
    if (distance >= v.distance) continue;
    v.distance = distance;
    v.at = {there.x, there.y};
  }
  if (!(v.distance < end_reach)) {
    v.reaches = false;
    v.distance = 0.0;
  }
}

/// Which gate, thickness or runner to change where no vent reaches.
std::string what_moves(const Setup& setup, const State& state, std::size_t p,
                       const VentProposal& v) {
  if (v.reaches) return "";
  if (v.runner_end)
    return "make one way round the loop of runners shorter or wider, so that the fronts meet "
           "elsewhere";
  return trap_words(trap_cause(setup, state, p, v.distance));
}

VentProposal propose(const Setup& setup, const State& state, std::size_t p,
                     const std::vector<RimLoop>& outer, double wall) {
  const PocketTable& t = state.air.pockets;
  const AirSettings& air = setup.air;
  VentProposal v;
  place_vent(setup.model, outer, t, p, v);
  v.depth = setup.material.vent_depth_min;
  v.land = usual_land;
  const double pressure = air.pressure_limit + air::room_pressure;
  const double wanted = pressure * t.peak_squeeze[p] / (air::gas_constant * wall);
  const auto length = [&](double land) {
    return wanted /
           air::vent_outflow({1.0, v.depth, land}, pressure, air::room_pressure, wall, wall);
  };
  v.width = std::max(least_width, width_step * std::ceil(length(v.land) / width_step));
  if (!v.reaches) v.pins = pins_for(length(pin_land), v.depth);
  v.text = sentence(v, air.pressure_limit, what_moves(setup, state, p, v));
  return v;
}

/// What the gas of each pocket keeps free after holding [m³]; -1 where nothing was held.
std::vector<double> voids(const State& state) {
  const HoldState& h = state.hold;
  const bool held = h.mode != HoldMode::not_begun;
  std::vector<double> size(state.air.pockets.size(), held ? 0.0 : -1.0);
  for (std::size_t i = 0; held && i < std::min(h.hollow.size(), state.air.pocket.size()); ++i) {
    const double pocket = state.air.pocket.vector()[i];
    if (pocket >= 0.0 && pocket < static_cast<double>(size.size()))
      size[static_cast<std::size_t>(pocket)] += h.hollow.vector()[i];
  }
  return size;
}

AirPocketResult describe(const Setup& setup, const PocketTable& t, std::size_t p, double wall) {
  AirPocketResult r;
  r.number = static_cast<int>(p);
  r.at = {t.x[p], t.y[p]};
  r.closed = t.closed[p];
  r.closed_volume = t.closed_volume[p];
  r.volume = t.volume[p];
  r.pressure = t.volume[p] > 0.0 ? t.pressure[p] : 0.0;
  r.peak_pressure = t.peak_pressure[p];
  r.peak_temperature = t.peak_temperature[p];
  r.isothermal_temperature = wall;
  r.adiabatic_temperature = air::adiabatic_temperature(
      wall, std::max(1.0, (r.peak_pressure + air::room_pressure) / air::room_pressure));
  r.hot_time = t.hot_time[p];
  r.vented = t.mass[p] <= left_share * t.closed_mass[p];
  r.trapped = !r.vented && r.pressure >= compressed && r.volume >= seen;
  r.may_scorch = r.hot_time > 0.0 && r.hot_time >= setup.air.scorch_time;
  return r;
}

}  // namespace

std::vector<AirPocketResult> air_pocket_results(const Setup& setup, const State& state) {
  const PocketTable& t = state.air.pockets;
  std::vector<AirPocketResult> results;
  if (t.size() == 0) return results;
  const double wall =
      0.5 * (setup.process.mould_temperature_fixed + setup.process.mould_temperature_moving);
  const std::vector<std::string> names = place_names(setup.model);
  const std::vector<double> hollow = voids(state);
  std::vector<RimLoop> outer = rim_loops(setup.model);
  std::erase_if(outer, [](const RimLoop& loop) { return !loop.outer; });
  for (std::size_t p = 0; p < t.size(); ++p) {
    if (t.merged_into[p] >= 0.0) continue;
    const double at_room = t.closed_mass[p] * air::gas_constant * wall / air::room_pressure;
    if (at_room < setup.air.smallest_pocket) continue;
    AirPocketResult r = describe(setup, t, p, wall);
    r.hollow = hollow[p];
    r.trapped = r.trapped && (r.hollow < 0.0 || r.hollow >= seen);
    r.part = names[static_cast<std::size_t>(t.node[p])];
    if (!r.vented || r.may_scorch || r.peak_pressure > setup.air.pressure_limit)
      r.proposal = propose(setup, state, p, outer, wall);
    results.push_back(std::move(r));
  }
  std::stable_sort(results.begin(), results.end(),
                   [](const AirPocketResult& a, const AirPocketResult& b) {
                     return a.peak_pressure > b.peak_pressure;
                   });
  return results;
}

}  // namespace firstshot
