#include "solver/whole/run_case.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "solver/assess/balance_figures.hpp"
#include "solver/assess/release_force.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/stage/held_gas.hpp"
#include "solver/stage/hold.hpp"
#include "solver/whole/frame_balance.hpp"
#include "solver/whole/verdict.hpp"

namespace firstshot {
namespace {

/// A part counts as full when no more than this share of it is missing: rounding of the last
/// corner.
constexpr double full_share = 1.0 - 1e-6;

std::vector<std::vector<std::size_t>> nodes_of_regions(const Model& model) {
  std::vector<std::vector<std::size_t>> nodes(model.regions.size());
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    for (VertexId v : model.mesh.triangles[id])
      nodes[static_cast<std::size_t>(model.mesh.region[id])].push_back(
          index(model.node_of_vertex[v]));
  }
  for (auto& list : nodes) {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  }
  return nodes;
}

/// Share of each region's volume that is melt.
std::vector<double> filled_share(const Model& model, const State& state) {
  std::vector<double> melt(model.regions.size(), 0.0), volume(model.regions.size(), 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto region = static_cast<std::size_t>(model.mesh.region[id]);
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c) {
      const double piece = areas[c] * model.thickness[id];
      melt[region] += piece * state.fill[model.node_of_vertex[model.mesh.triangles[id][c]]];
      volume[region] += piece;
    }
  }
  for (std::size_t r = 0; r < melt.size(); ++r) melt[r] /= volume[r];
  return melt;
}

/// How each region filled: half of a control volume at its arrival, all of it when it was full.
std::vector<std::vector<FillingPiece>> filling_pieces(const Model& model, const State& state) {
  std::vector<std::vector<FillingPiece>> pieces(model.regions.size());
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c) {
      const NodeId node = model.node_of_vertex[model.mesh.triangles[id][c]];
      const double half = state.arrival[node], all = state.full[node];
      if (half < 0.0) continue;
      const double volume = areas[c] * model.thickness[id] * state.fill[node];
      pieces[static_cast<std::size_t>(model.mesh.region[id])].push_back(
          all < half ? FillingPiece{half, half, volume}
                     : FillingPiece{std::max(0.0, 2.0 * half - all), all, volume});
    }
  }
  return pieces;
}

/// Volume of the air that is left in each region as bubbles smaller than a pocket [m³].
std::vector<double> bubbles(const Setup& setup, const State& state,
                            const std::vector<std::vector<std::size_t>>& nodes) {
  std::vector<double> volume(nodes.size(), 0.0);
  const PocketTable& t = state.air.pockets;
  for (std::size_t p = 0; p < t.size(); ++p) {
    if (!is_bubble(setup, t, p)) continue;
    const auto node = static_cast<std::size_t>(t.node[p]);
    for (std::size_t r = 0; r < nodes.size(); ++r)
      if (std::binary_search(nodes[r].begin(), nodes[r].end(), node)) {
        volume[r] += t.volume[p];
        break;
      }
  }
  return volume;
}

std::vector<PartResult> part_results(const Setup& setup, const State& state) {
  const Model& model = setup.model;
  const auto nodes = nodes_of_regions(model);
  const auto volumes = region_volumes(model);
  const auto filled = filled_share(model, state);
  const auto bubble = bubbles(setup, state, nodes);
  const auto pieces = filling_pieces(model, state);
  std::vector<PartResult> parts;
  for (std::size_t r = 0; r < model.regions.size(); ++r) {
    if (model.regions[r].role != Role::part) continue;
    PartResult part;
    part.name = model.regions[r].name;
    part.volume = volumes[r];
    part.mass = volumes[r] * setup.material.density_melt;
    part.filled_fraction = filled[r];
    for (std::size_t i : nodes[r]) {
      const double arrival = state.arrival.vector()[i];
      if (arrival >= 0.0 && (part.first_melt < 0.0 || arrival < part.first_melt))
        part.first_melt = arrival;
      part.full = std::max(part.full, state.full.vector()[i]);
    }
    part.nearly_full = time_of_volume(pieces[r], nearly_full_share * part.volume);
    if (part.filled_fraction + bubble[r] / part.volume < full_share) part.full = -1.0;
    parts.push_back(part);
  }
  std::vector<std::size_t> order;
  for (std::size_t k = 0; k < parts.size(); ++k)
    if (parts[k].full >= 0.0) order.push_back(k);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return parts[a].full < parts[b].full; });
  for (std::size_t k = 0; k < order.size(); ++k) parts[order[k]].order = static_cast<int>(k) + 1;
  return parts;
}

std::vector<GateResult> gate_results(const Model& model, const State& state) {
  std::vector<GateResult> gates;
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    const Channel& channel = model.channels[c];
    if (channel.role != Role::gate) continue;
    GateResult gate;
    gate.name = channel.name;
    if (channel.feeds >= 0) gate.part = model.regions[static_cast<std::size_t>(channel.feeds)].name;
    for (const LineElement& line : model.lines.span()) {
      if (static_cast<std::size_t>(line.channel) != c) continue;
      gate.length += line.length;
      gate.width = width(line.start);
      gate.depth = depth(line.start);
    }
    gate.pressure_loss = state.gate_pressure_loss[gates.size()];
    gate.peak_shear_rate = state.gate_shear_rate[gates.size()];
    gates.push_back(gate);
  }
  return gates;
}

std::vector<UnfilledRegion> unfilled(const Model& model, const std::vector<PartResult>& parts) {
  std::vector<UnfilledRegion> out;
  std::size_t part = 0;
  for (std::size_t r = 0; r < model.regions.size(); ++r) {
    if (model.regions[r].role != Role::part) continue;
    const PartResult& p = parts[part++];
    if (p.full < 0.0) out.push_back({static_cast<std::int32_t>(r), p.volume, p.filled_fraction});
  }
  return out;
}

std::string cause(Outcome outcome) {
  switch (outcome) {
    case Outcome::filled:
      return "every cavity is full";
    case Outcome::pressure_limit:
      return "short shot: the pressure does not suffice to move the melt further";
    case Outcome::frozen:
      return "short shot: the melt froze at the front before the cavity was full";
    case Outcome::air:
      return "short shot: air that cannot leave holds the melt back";
    case Outcome::time_limit:
      return "the time limit for filling was reached";
    case Outcome::interrupted:
      return "stopped by the user before the end";
  }
  return {};
}

/// Without cooling, holding ends only when the case says so.
bool can_hold(const Setup& setup) { return !setup.isothermal || !setup.process.holding.empty(); }

bool is_held(const Setup& setup, const State& state) {
  if (state.mode != FillMode::done || !can_hold(setup)) return false;
  if (state.outcome == Outcome::filled || state.hold.mode != HoldMode::not_begun) return true;
  return state.outcome == Outcome::air && only_air_missing(setup, state);
}

bool is_over(const Setup& setup, const State& state) {
  return state.mode == FillMode::done && (!is_held(setup, state) || Hold::done(state));
}

void assess_with(const Setup& setup, const Fill& fill, Result& result);

Result collect(const Setup& setup, const Fill& fill, State state,
               std::vector<HistoryEntry> history) {
  Result r;
  const bool filled = state.mode == FillMode::done && state.outcome == Outcome::filled;
  r.outcome = is_over(setup, state) ? state.outcome : Outcome::interrupted;
  r.cause = filled && r.outcome == Outcome::interrupted
                ? "stopped by the user while the full cavity was held under pressure"
                : cause(r.outcome);
  r.parts = part_results(setup, state);
  r.gates = gate_results(setup.model, state);
  std::vector<double> stored(state.fill.size());
  for (std::size_t i = 0; i < stored.size(); ++i)
    stored[i] = fill.volumes().volume[i] * state.fill.vector()[i];
  const double melt = ordered_sum(stored);
  r.volume = fill.shot_volume();
  r.filled_fraction = melt / r.volume;
  r.mass_error = state.injected > 0.0 ? std::abs(melt - state.injected) / state.injected : 0.0;
  r.peak_pressure = state.peak_pressure;
  for (const HistoryEntry& h : history)
    r.peak_opening_force = std::max(r.peak_opening_force, h.opening_force);
  const bool all_full = std::all_of(r.parts.begin(), r.parts.end(),
                                    [](const PartResult& p) { return p.full >= 0.0; });
  if (all_full && filled) {
    r.fill_time = 0.0;
    for (const PartResult& p : r.parts) r.fill_time = std::max(r.fill_time, p.full);
    if (r.parts.empty()) r.fill_time = state.time;
  }
  r.state = std::move(state);
  r.history = std::move(history);
  assess_with(setup, fill, r);
  return r;
}

/// From the end of filling on: cooling, cycle, settings, cost.
void assess_cycle(const Setup& setup, const Fill& fill, Result& r) {
  r.ejection = ejection_figures(setup);
  if (r.outcome == Outcome::interrupted) return;
  r.cycle = cycle_result(setup, fill.volumes(), fill.grid(), r.state, r.history);
  if (!r.cycle) return;
  add_release_forces(setup, r.hold, *r.cycle, r.ejection);
  r.warp = warp_drivers(setup, r.state, *r.cycle);
  r.settings = press_settings(setup, *r.cycle, r.state, r.peak_pressure, r.peak_opening_force);
  if (!setup.cost) return;
  const FrameFigures figures = frame_figures(setup.model, setup.material.density_melt);
  const BandedTime& total = r.cycle->total;
  r.cost = cost_of(*setup.cost, setup.blend,
                   {r.cycle->mass, figures.runner_share, total.value, total.low, total.high});
}

void assess_with(const Setup& setup, const Fill& fill, Result& result) {
  const State& state = result.state;
  result.air_pockets = air_pocket_results(setup, state);
  result.weld_lines = weld_lines(setup.model, state.front, state.arrival);
  result.short_shots = short_shots(setup, state, result.history, result.outcome,
                                   unfilled(setup.model, result.parts));
  result.paths = flow_paths(setup, state);
  result.sides = side_changes(setup, state, result.history);
  result.packing = part_packing(setup, state);
  result.scorch = scorch_ranking(setup, state);
  result.hold = hold_figures(setup, state, result.history);
  for (std::size_t g = 0; g < std::min(result.gates.size(), result.hold.gate_frozen.size()); ++g)
    result.gates[g].freeze = result.hold.gate_frozen[g];
  assess_cycle(setup, fill, result);
  const FrameFigures melt = frame_figures(setup.model, setup.material.density_melt);
  result.verdict = judge(setup, result, as_held(setup, result, melt));
}

/// Runs the full cavity on to where nothing in the parts can change any more.
void hold_full(const Setup& setup, Hold& hold, const Observer& observer, State& state,
               std::vector<HistoryEntry>& history) {
  constexpr int snapshots = 12;  // about
  const auto every = static_cast<std::size_t>(std::max(1, setup.accuracy.volume_steps / snapshots));
  if (state.hold.mode == HoldMode::not_begun) hold.begin(state);
  while (!Hold::done(state)) {
    hold.step(state);
    history.push_back(hold.history(state));
    const bool keep = Hold::done(state) || state.hold.time.size() % every == 0;
    if (observer && !observer({setup, state, history, keep})) return;
  }
}

}  // namespace

void assess(const Setup& setup, Result& result) { assess_with(setup, Fill(setup), result); }

Result run_case(const Setup& setup, const Observer& observer, const Restart* restart) {
  Fill fill(setup);
  std::optional<Hold> hold;
  if (can_hold(setup)) hold.emplace(setup, fill);
  State state = restart != nullptr ? restart->state : fill.start();
  std::vector<HistoryEntry> history;
  if (restart != nullptr) history = restart->history;
  while (!fill.done(state)) {
    const double before = state.injected / fill.shot_volume();
    fill.step(state);
    history.push_back(fill.history(state));
    if (hold) history.back().opening_force = hold->watch(state);
    const double after = state.injected / fill.shot_volume();
    const int kept = setup.accuracy.snapshots;
    const bool keep = fill.done(state) || std::floor(before * kept) < std::floor(after * kept);
    if (observer && !observer({setup, state, history, keep}))
      return collect(setup, fill, std::move(state), std::move(history));
  }
  if (is_held(setup, state)) hold_full(setup, *hold, observer, state, history);
  return collect(setup, fill, std::move(state), std::move(history));
}

}  // namespace firstshot
