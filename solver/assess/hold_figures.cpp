#include "solver/assess/hold_figures.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "solver/stage/hold_fields.hpp"

namespace firstshot {
namespace {

/// A piece of a region's volume at a node.
struct Piece {
  std::size_t region = 0, node = 0;
  double volume = 0.0;     ///< [m³]
  double thickness = 0.0;  ///< [m]
};

std::vector<Piece> part_pieces(const Model& model) {
  std::vector<Piece> pieces;
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto region = static_cast<std::size_t>(model.mesh.region[id]);
    if (model.regions[region].role != Role::part) continue;
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c)
      pieces.push_back({region, index(model.node_of_vertex[model.mesh.triangles[id][c]]),
                        areas[c] * model.thickness[id], model.thickness[id]});
  }
  return pieces;
}

/// Free linear shrinkage of each node; layers that are not yet solid will be so at the pressure of
/// now.
std::vector<double> linear_shrinkage(const Setup& setup, const State& state) {
  const HoldState& h = state.hold;
  std::vector<double> linear(h.linear.vector());
  for (std::size_t i = 0; i < linear.size(); ++i)
    linear[i] += (1.0 - h.solid.vector()[i]) *
                 linear_shrinkage_from_glass(setup.material.pvt, state.pressure.vector()[i],
                                             room_temperature);
  return linear;
}

/// A gate is solid as soon as one of its elements is, at both ends.
std::vector<double> gates_frozen(const Model& model, const HoldState& hold) {
  std::vector<double> frozen;
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    if (model.channels[c].role != Role::gate) continue;
    double first = -1.0;
    for (const LineElement& line : model.lines.span()) {
      if (static_cast<std::size_t>(line.channel) != c) continue;
      const double a = hold.freeze[line.from];
      const double b = hold.freeze[line.to];
      if (a < 0.0 || b < 0.0) continue;
      const double both = std::max(a, b);
      if (first < 0.0 || both < first) first = both;
    }
    frozen.push_back(first);
  }
  return frozen;
}

/// Sets of nodes that are joined one by one.
class Joined {
 public:
  explicit Joined(std::size_t n) : leader_(n) { std::iota(leader_.begin(), leader_.end(), 0U); }
  std::size_t leader(std::size_t i) {
    while (leader_[i] != i) i = leader_[i] = leader_[leader_[i]];
    return i;
  }
  void join(std::size_t a, std::size_t b) { leader_[leader(a)] = leader(b); }

 private:
  std::vector<std::size_t> leader_;
};

/// A side of a gate's triangles and when it is shut: when both its ends are solid.
struct GateEdge {
  std::size_t a = 0, b = 0;
  double shut = 0.0;
};

/// When the last way through a gate of triangles, from where melt comes from to the part, is shut:
/// its sides are joined from the latest to be shut on, until both ends of the gate hang together.
double area_gate_frozen(const Model& model, const HoldState& hold, std::int32_t region) {
  const std::size_t n = model.n_nodes();
  Joined joined(n + 2);
  const std::size_t before = n, beyond = n + 1;
  std::vector<bool> inside(n, false);
  std::vector<GateEdge> edges;
  const auto closing = [&](std::size_t i) {
    const double t = hold.freeze.vector()[i];
    return t < 0.0 ? std::numeric_limits<double>::infinity() : t;
  };
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    if (model.mesh.region[id] != region) continue;
    for (std::size_t c = 0; c < 3; ++c) {
      const std::size_t a = index(model.node_of_vertex[model.mesh.triangles[id][c]]);
      const std::size_t b = index(model.node_of_vertex[model.mesh.triangles[id][(c + 1) % 3]]);
      edges.push_back({a, b, std::max(closing(a), closing(b))});
      inside[a] = true;
    }
  }
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    if (model.mesh.region[id] == region) continue;
    const Role role = model.regions[static_cast<std::size_t>(model.mesh.region[id])].role;
    for (const VertexId v : model.mesh.triangles[id]) {
      const std::size_t i = index(model.node_of_vertex[v]);
      if (inside[i]) joined.join(i, role == Role::part ? beyond : before);
    }
  }
  std::stable_sort(edges.begin(), edges.end(),
                   [](const GateEdge& l, const GateEdge& r) { return l.shut > r.shut; });
  for (const GateEdge& e : edges) {
    joined.join(e.a, e.b);
    if (joined.leader(before) == joined.leader(beyond)) return std::isinf(e.shut) ? -1.0 : e.shut;
  }
  return -1.0;
}

struct Fields {
  std::vector<double> volume, linear, frozen, density;
};

void shrink_parts(const Setup& setup, const State& state, const std::vector<Piece>& pieces,
                  const Fields& f, HoldResult& r) {
  const Model& model = setup.model;
  std::vector<PartShrinkage> by_region(model.regions.size());
  std::vector<double> weight(model.regions.size(), 0.0);
  double all = 0.0;
  r.volume_min = r.linear_min = std::numeric_limits<double>::infinity();
  r.volume_max = r.linear_max = -r.volume_min;
  for (const Piece& p : pieces) {
    PartShrinkage& part = by_region[p.region];
    part.mass += p.volume * f.density[p.node];
    part.volume += p.volume * f.volume[p.node];
    part.linear += p.volume * f.linear[p.node];
    part.frozen_pressure += p.volume * f.frozen[p.node];
    const double freeze = state.hold.freeze.vector()[p.node];
    const double zero = state.hold.zero.vector()[p.node];
    const double never = std::numeric_limits<double>::infinity();
    part.freeze = std::max(part.freeze, freeze < 0.0 ? never : freeze);
    part.zero_pressure = std::max(part.zero_pressure, zero < 0.0 ? never : zero);
    weight[p.region] += p.volume;
    all += p.volume;
    r.volume_mean += p.volume * f.volume[p.node];
    r.linear_mean += p.volume * f.linear[p.node];
    r.volume_min = std::min(r.volume_min, f.volume[p.node]);
    r.volume_max = std::max(r.volume_max, f.volume[p.node]);
    r.linear_min = std::min(r.linear_min, f.linear[p.node]);
    r.linear_max = std::max(r.linear_max, f.linear[p.node]);
  }
  for (std::size_t k = 0; k < by_region.size(); ++k) {
    if (!(weight[k] > 0.0)) continue;
    PartShrinkage part = by_region[k];
    part.part = model.regions[k].name;
    part.volume /= weight[k];
    part.linear /= weight[k];
    part.frozen_pressure /= weight[k];
    if (std::isinf(part.freeze)) part.freeze = -1.0;
    if (std::isinf(part.zero_pressure)) part.zero_pressure = -1.0;
    r.parts.push_back(part);
  }
  if (!(all > 0.0)) {
    r.volume_min = r.volume_max = r.linear_min = r.linear_max = 0.0;
    return;
  }
  r.volume_mean /= all;
  r.linear_mean /= all;
  r.scale = 1.0 / (1.0 - r.linear_mean);
}

/// What the thickness must give, beyond the part's mean: the volume shrinks more than the plane.
void find_sinks(const Model& model, const std::vector<Piece>& pieces, const Fields& f,
                HoldResult& r) {
  constexpr double least = 2e-6;  // [m] less cannot be felt, own judgement
  std::vector<double> mean(model.regions.size(), 0.0), weight(mean.size(), 0.0);
  const auto across = [&](std::size_t node) { return f.volume[node] - 2.0 * f.linear[node]; };
  for (const Piece& p : pieces) {
    mean[p.region] += p.volume * across(p.node);
    weight[p.region] += p.volume;
  }
  std::vector<SinkPlace> worst(model.regions.size());
  for (const Piece& p : pieces) {
    const double depth = p.thickness * (across(p.node) - mean[p.region] / weight[p.region]);
    SinkPlace& place = worst[p.region];
    if (depth <= place.depth) continue;
    const Point3& at = model.position.vector()[p.node];
    place = {model.regions[p.region].name, {at.x, at.y}, depth, p.thickness};
  }
  for (const SinkPlace& place : worst)
    if (place.depth >= least) r.sinks.push_back(place);
  std::stable_sort(r.sinks.begin(), r.sinks.end(),
                   [](const SinkPlace& a, const SinkPlace& b) { return a.depth > b.depth; });
}

void weigh(const State& state, HoldResult& r) {
  constexpr double gain = 1e-3;
  const HoldState& h = state.hold;
  const double start = state.switch_over_time;
  for (std::size_t k = 0; k < h.time.size(); ++k)
    r.weighing.push_back({h.time[k] - start, h.released_mass[k], h.part_mass[k]});
  if (r.weighing.empty()) return;
  const double last = r.weighing.back().released_mass;
  for (std::size_t k = r.weighing.size(); k-- > 0;) {
    if (r.weighing[k].released_mass < last * (1.0 - gain)) break;
    r.enough = r.weighing[k].holding_time;
  }
}

const char* why_not(const Setup& setup, const State& state) {
  if (state.mode != FillMode::done) return "the run was stopped while filling";
  if (state.outcome != Outcome::filled)
    return "the cavity is not full: what is short now stays short, and pressure and weight of the "
           "rest would mislead";
  if (setup.isothermal) return "the melt does not cool in this case, so nothing freezes";
  return "the run was stopped before holding began";
}

}  // namespace

HoldResult hold_figures(const Setup& setup, const State& state,
                        const std::vector<HistoryEntry>& history) {
  HoldResult r;
  const HoldState& h = state.hold;
  r.gate_frozen.assign(state.gate_shear_rate.size(), -1.0);
  if (h.mode == HoldMode::not_begun) {
    r.note = why_not(setup, state);
    return r;
  }
  r.held = true;
  r.start = h.start;
  r.release = h.release;
  r.end = state.time;
  r.holding_time = (h.release < 0.0 ? state.time : h.release) - state.switch_over_time;
  r.start_mass = h.start_mass;
  r.shot_mass = h.all_mass.empty() ? h.start_mass : h.all_mass.back();
  r.part_mass = h.part_mass.empty() ? 0.0 : h.part_mass.back();
  r.mass_error = std::abs(r.shot_mass - h.start_mass - h.injected_mass) / r.shot_mass;
  r.gate_frozen = gates_frozen(setup.model, h);
  for (std::size_t region = 0; region < setup.model.regions.size(); ++region)
    if (setup.model.regions[region].role == Role::gate)
      r.area_gates.push_back({setup.model.regions[region].name,
                              area_gate_frozen(setup.model, h, static_cast<std::int32_t>(region))});
  std::vector<double> frozen = r.gate_frozen;
  for (const AreaGate& gate : r.area_gates) frozen.push_back(gate.freeze);
  if (!frozen.empty() && *std::min_element(frozen.begin(), frozen.end()) >= 0.0)
    r.gate_freeze = *std::max_element(frozen.begin(), frozen.end());
  for (const HistoryEntry& e : history)
    if (e.time > h.start) r.peak_opening_force = std::max(r.peak_opening_force, e.opening_force);
  weigh(state, r);
  const std::vector<Piece> pieces = part_pieces(setup.model);
  const Fields fields{volume_shrinkage(setup, state).vector(), linear_shrinkage(setup, state),
                      frozen_pressure(state).vector(), held_density(setup, state).vector()};
  shrink_parts(setup, state, pieces, fields, r);
  find_sinks(setup.model, pieces, fields, r);
  return r;
}

}  // namespace firstshot
