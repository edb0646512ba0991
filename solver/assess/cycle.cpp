#include "solver/assess/cycle.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "solver/material/enthalpy.hpp"
#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();

/// What all parts of the reckoning read.
struct Job {
  const Setup& setup;
  const ControlVolumes& volumes;
  const GapGrid& grid;
  const State& state;
  CoolStart start;
  std::vector<double> mass;  ///< (n_nodes) [kg]
};

void note(CooledPiece& piece, const Job& job, const CoolState& cooled, std::size_t node) {
  const NodeId id = make_id<NodeId>(node);
  if (!(cooled.sealed_volume[node] > 0.0) || cooled.ejectable[id] <= piece.ejectable) return;
  piece.node = node;
  piece.ejectable = cooled.ejectable[id];
  const Point3& at = job.setup.model.position[id];
  piece.at = {at.x, at.y};
  piece.gap = 2.0 * job.volumes.half_gap[node];
}

std::vector<CooledPiece> cooled_parts(const Job& job, const CoolState& cooled) {
  const Model& model = job.setup.model;
  std::vector<CooledPiece> pieces(model.regions.size());
  for (std::size_t r = 0; r < pieces.size(); ++r) {
    pieces[r].name = model.regions[r].name;
    pieces[r].role = model.regions[r].role;
  }
  const auto of_part = nodes_of_parts(model);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    CooledPiece& piece = pieces[static_cast<std::size_t>(model.mesh.region[id])];
    for (const VertexId v : model.mesh.triangles[id]) {
      const std::size_t node = index(model.node_of_vertex[v]);
      if ((of_part[node] != 0) == (piece.role == Role::part)) note(piece, job, cooled, node);
    }
  }
  return pieces;
}

/// Runners and gates, drawn as triangles or as lines, after the parts are taken out of `pieces`.
std::vector<CooledPiece> cooled_channels(const Job& job, const CoolState& cooled,
                                         std::vector<CooledPiece>& pieces) {
  const Model& model = job.setup.model;
  const auto is_part = [](const CooledPiece& p) { return p.role == Role::part; };
  const auto first = std::stable_partition(pieces.begin(), pieces.end(), is_part);
  std::vector<CooledPiece> channels(first, pieces.end());
  pieces.erase(first, pieces.end());
  const std::size_t areas = channels.size();
  for (const Channel& c : model.channels) {
    CooledPiece piece;
    piece.name = c.name;
    piece.role = c.role;
    channels.push_back(piece);
  }
  const auto of_part = nodes_of_parts(model);
  for (const LineElement& line : model.lines.span())
    for (const NodeId node : {line.from, line.to})
      if (of_part[index(node)] == 0)
        note(channels[areas + static_cast<std::size_t>(line.channel)], job, cooled, index(node));
  return channels;
}

double screw_work(const std::vector<HistoryEntry>& history) {
  double work = 0.0, before = 0.0;
  for (const HistoryEntry& h : history) {
    work += h.injection_pressure * h.flow_rate * (h.time - before);
    before = h.time;
  }
  return work;
}

double heat_content(const Job& job, std::span<const double> temperature) {
  const Enthalpy enthalpy(job.setup.material.heat_capacity);
  const auto n = static_cast<std::size_t>(job.grid.columns());
  double sum = 0.0;
  for (std::size_t i = 0; i < job.volumes.n_nodes(); ++i) {
    double mean = 0.0;
    for (std::size_t c = 0; c < n; ++c)
      mean += job.grid.share(static_cast<int>(c), job.volumes.round[i] != 0) *
              enthalpy.at(temperature[i * n + c]);
    sum += mean * job.mass[i];
  }
  return sum;
}

ShotEnergy shot_energy(const Job& job, const CoolState& cooled, double mass,
                       const std::vector<HistoryEntry>& history) {
  const Setup& setup = job.setup;
  const Enthalpy enthalpy(setup.material.heat_capacity);
  constexpr double room = 296.15;
  ShotEnergy e;
  const double h_melt = enthalpy.at(setup.process.melt_temperature);
  e.melt = mass * h_melt;
  e.work = screw_work(history);
  e.plasticise = mass * (h_melt - enthalpy.at(room));
  e.left = heat_content(job, cooled.temperature);
  for (std::size_t i = 0; i < cooled.heat_fixed.size(); ++i) {
    e.fixed += cooled.heat_fixed[i];  // of full places: a short shot's edge counts whole
    e.moving += cooled.heat_moving[i];
  }
  // What went into the walls before cooling began, shared out like the rest.
  const double before = e.melt + e.work - heat_content(job, job.start.temperature);
  const double later = e.fixed + e.moving;
  const double share = later > 0.0 ? e.fixed / later : 0.5;
  e.fixed += share * before;
  e.moving += (1.0 - share) * before;
  return e;
}

MouldBalance mould_balance(const Setup& setup, const ShotEnergy& energy, double cycle) {
  MouldBalance b;
  b.surface_fixed = setup.process.mould_temperature_fixed;
  b.surface_moving = setup.process.mould_temperature_moving;
  const Material& m = setup.material;
  const double melt = setup.process.melt_temperature;
  const double effusivity = std::sqrt(m.conductivity * m.density_melt * m.heat_capacity.at(melt));
  b.contact_rise = contact_rise(setup.mould.metal, effusivity,
                                melt - std::max(b.surface_fixed, b.surface_moving));
  b.follows = setup.mould.fixed.has_value() && setup.mould.moving.has_value();
  if (!b.follows) return b;
  const FrameRectangle frame = frame_rectangle(setup.model);
  HalfLoad load{energy.fixed, cycle, frame.length * frame.width, projected_area(setup.model)};
  b.fixed = half_heat(setup.mould.metal, *setup.mould.fixed, load);
  load.heat = energy.moving;
  b.moving = half_heat(setup.mould.metal, *setup.mould.moving, load);
  const auto time = [&](const HalfHeat& half) {
    return warming_time(setup.mould, frame.length, frame.width, half.resistance);
  };
  b.warming_time = std::max(time(b.fixed), time(b.moving));
  const double rise = std::max(b.fixed.surface - setup.mould.fixed->temperature,
                               b.moving.surface - setup.mould.moving->temperature);
  // The rest of the way falls as exp(-t/τ) from shot to shot.
  if (rise > 1.0)
    b.shots_to_warm = static_cast<int>(std::ceil(std::log(rise) * b.warming_time / cycle));
  return b;
}

void note_opening(const Job& job, const CoolState& cooled, std::vector<CooledPiece>& parts) {
  const Model& model = job.setup.model;
  const auto n = static_cast<std::size_t>(job.grid.columns());
  std::vector<double> mean(model.n_nodes());
  for (std::size_t i = 0; i < mean.size(); ++i)
    for (std::size_t c = 0; c < n; ++c)
      mean[i] += job.grid.share(static_cast<int>(c), job.volumes.round[i] != 0) *
                 cooled.temperature[i * n + c];
  std::vector<std::ptrdiff_t> part_of(model.regions.size(), -1);
  std::ptrdiff_t next = 0;
  for (std::size_t r = 0; r < part_of.size(); ++r)
    if (model.regions[r].role == Role::part) part_of[r] = next++;
  for (CooledPiece& p : parts) {
    p.mean_open_low = never;
    const auto layers = std::span(cooled.temperature).subspan(p.node * n, n);
    p.temperature_open = *std::max_element(layers.begin(), layers.end());
  }
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto k = part_of[static_cast<std::size_t>(model.mesh.region[id])];
    if (k < 0) continue;
    CooledPiece& p = parts[static_cast<std::size_t>(k)];
    for (const VertexId v : model.mesh.triangles[id]) {
      const double T = mean[index(model.node_of_vertex[v])];
      p.mean_open_low = std::min(p.mean_open_low, T);
      p.mean_open_high = std::max(p.mean_open_high, T);
    }
  }
}

Job job_of(const Setup& setup, const ControlVolumes& volumes, const GapGrid& grid,
           const State& state) {
  CoolStart start{state.time, state.temperature, state.pressure.span(), state.fill.span()};
  std::vector<double> mass;
  if (state.hold.mode != HoldMode::not_begun) {
    start.mass = state.hold.mass.span();
    start.let_go = state.hold.zero.span();
    start.ejectable = state.hold.ejectable.span();
    mass = state.hold.mass.vector();
  } else {
    for (std::size_t i = 0; i < volumes.n_nodes(); ++i)
      mass.push_back(volumes.volume[i] * state.fill.vector()[i] * setup.material.density_melt);
  }
  return {setup, volumes, grid, state, start, std::move(mass)};
}

/// Injection and holding as the press has run them.
struct Begun {
  double inject = 0.0;   ///< until switch-over [s]
  double release = 0.0;  ///< end of holding, since the start of injection [s]
};
Begun begun(const Setup& setup, const State& state) {
  Begun b;
  b.inject = state.switch_over_time >= 0.0 ? state.switch_over_time : state.time;
  b.release = b.inject;
  if (state.hold.release >= 0.0) {
    b.release = state.hold.release;
    return b;
  }
  for (const HoldingStep& step : setup.process.holding) b.release += step.duration;
  if (setup.process.holding.empty()) b.release = state.time;
  return b;
}

}  // namespace

State state_at_opening(const State& state, const CycleResult& cycle) {
  State open = state;
  ++open.step;
  open.time = cycle.opening;
  open.temperature = cycle.temperature_open;
  std::fill(open.pressure.vector().begin(), open.pressure.vector().end(), 0.0);
  open.injection_pressure = open.flow_rate = 0.0;
  open.hold.ejectable = cycle.ejectable;
  return open;
}

FrameRectangle frame_rectangle(const Model& model) {
  double x0 = never, x1 = -never, y0 = never, y1 = -never;
  for (const Point3& p : model.position.span()) {
    x0 = std::min(x0, p.x);
    x1 = std::max(x1, p.x);
    y0 = std::min(y0, p.y);
    y1 = std::max(y1, p.y);
  }
  return {x1 - x0, y1 - y0};
}

std::optional<CycleResult> cycle_result(const Setup& setup, const ControlVolumes& volumes,
                                        const GapGrid& grid, const State& state,
                                        const std::vector<HistoryEntry>& history) {
  if (setup.isothermal || !(setup.process.contact_conductance > 0.0)) return std::nullopt;
  const Job job = job_of(setup, volumes, grid, state);
  CycleResult r;
  r.mass = ordered_sum(job.mass);
  const Cool cool(setup, volumes, grid, cooling_walls(setup));
  const CoolState start = cool.begin(job.start);
  CoolState cooled = start;
  cool.until_ejectable(cooled);
  r.ejectable = cooled.ejectable;
  r.parts = cooled_parts(job, cooled);
  r.channels = cooled_channels(job, cooled, r.parts);
  const CooledShot shot{setup, volumes, grid, job.mass};
  const SlowestTimes parts = slowest_times(shot, r.parts, setup.cooling.parts);
  const SlowestTimes runners = slowest_times(shot, r.channels, setup.cooling.runners);
  r.parts_ejectable = parts.time;
  r.runners_ejectable = runners.time;
  r.parts_by_mean = parts.by_mean;
  r.runners_by_mean = runners.by_mean;

  const Begun b = begun(setup, state);
  r.inject = b.inject;
  r.hold = b.release - b.inject;
  r.close = r.open = 0.5 * setup.press.dry_cycle;
  r.eject = setup.cooling.eject_time;
  const double ready =
      b.release + barrel_figures(setup.press, setup.material, r.mass, 0.0).recovery;
  const auto opens = [&](double part, double runner) {
    return setup.cooling.time >= 0.0 ? b.release + setup.cooling.time
                                     : std::max({part, runner, ready});
  };
  const double opening = opens(parts.time.value, runners.time.value);
  if (setup.cooling.time >= 0.0) {
    r.limit = CycleLimit::set;
    cooled = start;
  } else if (ready >= opening) {
    r.limit = CycleLimit::screw;
  } else if (runners.time.value >= opening) {
    r.limit = CycleLimit::runners;
  }
  cool.go_on(cooled, opening);
  note_opening(job, cooled, r.parts);
  r.opening = opening;
  r.temperature_open = cooled.temperature;
  const double rest = r.close + r.open + r.eject;
  r.cool = {opening - b.release, opens(parts.time.low, runners.time.low) - b.release,
            opens(parts.time.high, runners.time.high) - b.release};
  r.total = {opening + rest, b.release + r.cool.low + rest, b.release + r.cool.high + rest};
  if (r.limit == CycleLimit::parts || r.limit == CycleLimit::runners)
    r.deciding = deciding_piece(shot, r.parts, r.channels, ready);
  const double without = std::max(parts.time.value, ready);
  r.runner_cost = std::max(0.0, runners.time.value - without);
  r.thinner_runner_saves =
      std::max(without, runners.time.value) - std::max(without, runners.thinner);
  r.barrel = barrel_figures(setup.press, setup.material, r.mass, r.total.value);
  r.energy = shot_energy(job, cooled, r.mass, history);
  r.mould = mould_balance(setup, r.energy, r.total.value);
  return r;
}

}  // namespace firstshot
