#include "solver/stage/fill.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "solver/flow/front_times.hpp"
#include "solver/heat/inverse_viscosity.hpp"
#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

constexpr int most_iterations = 60;
/// Linear solutions in one step; a set that crosses a whole frame takes one per ring of elements.
constexpr int most_solutions = 1000;
/// First steps are shorter, so that the first pressures have something to lean on.
constexpr int starting_steps = 4;
/// Under pressure a step may last this many steps at the set speed.
constexpr double longest_pressure_step = 8.0;
constexpr double step_growth = 1.6;
/// A step that ends at switch-over or with the last volume is at least this share of a usual one.
constexpr double least_portion = 0.05;
/// Melt above full at the end of a step, in share of what entered and of the tolerance, while the
/// cavity has this much room.
constexpr double excess_share = 0.06, room_for_excess = 0.05;
/// A step whose set has just settled ends at a change of fluidity this small when hardly any melt
/// went to the elements reached last, both in share of the tolerance: those keep a guess.
constexpr double early_change = 0.3, early_excess = 0.6;
/// Change of a gas pressure at which a step's iteration stops, in share of the highest pressure.
constexpr double gas_tolerance = 1e-5;
/// Flow used for a first guess of gradients where the press gives a pressure only [m/s].
constexpr double guess_velocity = 0.15;

std::vector<double> plan_area(const Model& model) {
  std::vector<double> plan(model.n_nodes(), 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto areas = corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c)
      plan[index(model.node_of_vertex[model.mesh.triangles[id][c]])] += areas[c];
  }
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[line.channel].role == Role::sprue) continue;  // lies along the draw
    const double half = 0.25 * line.length * (width(line.start) + width(line.end));
    plan[index(line.from)] += half;
    plan[index(line.to)] += half;
  }
  return plan;
}

}  // namespace

MobilityState mobility_state(State& s) {
  return {s.gradient.span(), s.neutral.span(), s.fluidity.span(), s.line_gradient.span(),
          s.line_fluidity.span()};
}

Fill::Fill(const Setup& setup)
    : setup_(setup),
      curve_(setup.material.viscosity),
      grid_(setup.accuracy.layers,
            setup.process.mould_temperature_fixed != setup.process.mould_temperature_moving),
      mobility_(setup, grid_, curve_),
      front_(mobility_.volumes(), setup.gas_pressure),
      sweep_(setup, mobility_.volumes(), grid_, curve_),
      plan_area_(plan_area(setup.model)) {
  const ControlVolumes& v = mobility_.volumes();
  if (setup.air.enabled) air_.emplace(setup, v);
  shot_volume_ = ordered_sum(v.volume);
  nominal_flow_ = setup.process.speed.empty() ? 0.0 : setup.process.speed.front().flow_rate;
  barrel_volume_ = setup.press.nozzle_volume + shot_volume_;
  const std::size_t n = v.n_nodes();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  const std::vector<double> melt(columns, setup.process.melt_temperature);
  const std::vector<double> pressure{setup.gas_pressure}, half_gap{1.0}, fill{1.0};
  MouldContact none;
  none.conductance = 0.0;
  fresh_.resize(columns);
  inverse_viscosity(setup.material, grid_, none, {melt, pressure, half_gap, fill}, fresh_);
  inverse_.resize(n * columns);
  fresh_where_empty(std::vector<double>(n, 0.0));
  conductance_.resize(v.edges.size());
  node_gradient_.resize(n);
  node_neutral_.resize(n);
  fill_before_.resize(n);
}

State Fill::start() const {
  const Model& model = setup_.model;
  const std::size_t n = model.n_nodes();
  State s;
  s.fill = NodeField<double>(n, 0.0);
  s.pressure = NodeField<double>(n, setup_.gas_pressure);
  s.arrival = NodeField<double>(n, -1.0);
  s.full = NodeField<double>(n, -1.0);
  s.temperature.assign(n * static_cast<std::size_t>(grid_.columns()),
                       setup_.process.melt_temperature);
  s.peak_field = NodeField<double>(n, 0.0);
  s.shear_rate = NodeField<double>(n, 0.0);
  s.gradient = TriField<double>(model.mesh.triangles.size(), 0.0);
  s.neutral = TriField<double>(model.mesh.triangles.size(), 0.0);
  s.fluidity = TriField<double>(model.mesh.triangles.size(), 0.0);
  s.line_gradient = LineField<double>(model.lines.size(), 0.0);
  s.line_fluidity = LineField<double>(model.lines.size(), 0.0);
  s.flux.assign(mobility_.volumes().edges.size(), 0.0);
  std::size_t gates = 0;
  for (const Channel& c : model.channels) gates += c.role == Role::gate ? 1 : 0;
  s.gate_pressure_loss.assign(gates, 0.0);
  s.gate_shear_rate.assign(gates, 0.0);
  mobility_.guess(inverse_, guess_velocity, mobility_state(s));
  s.front = no_front(n);
  s.mode = setup_.process.constant_pressure > 0.0 ? FillMode::pressure_limit : FillMode::speed;
  if (air_) s.air = air_->start();
  return s;
}

/// Where no melt is yet, it arrives at melt temperature.
void Fill::fresh_where_empty(std::span<const double> fill) {
  const auto n = static_cast<std::ptrdiff_t>(fresh_.size());
  parallel_for(fill.size(), [&](std::size_t i) {
    if (!(fill[i] > 0.0))
      std::copy(fresh_.begin(), fresh_.end(),
                inverse_.begin() + n * static_cast<std::ptrdiff_t>(i));
  });
}

double Fill::set_flow(const State& state) const {
  if (setup_.process.speed.empty()) return 0.0;
  double flow = setup_.process.speed.front().flow_rate;
  const double share = state.displaced / shot_volume_;
  for (const SpeedStep& s : setup_.process.speed)
    if (share >= s.from_share) flow = s.flow_rate;
  return flow;
}

double Fill::step_length(const State& state) const {
  double portion = shot_volume_ / setup_.accuracy.volume_steps;
  if (state.step < starting_steps)
    portion /= static_cast<double>(1 << (starting_steps - state.step));
  if (state.mode == FillMode::speed) {
    const SwitchOver& s = setup_.process.switch_over;
    double target = most_by_speed * shot_volume_;
    if (s.kind == SwitchOverKind::volume) target = std::min(target, s.value * shot_volume_);
    const double left = target - state.injected;
    double dt = std::clamp(left, least_portion * portion, portion) / set_flow(state);
    if (s.kind == SwitchOverKind::time) dt = std::min(dt, std::max(s.value - state.time, 1e-9));
    return dt;
  }
  const double flow = std::max(std::abs(state.flow_rate), 1e-30);
  // No longer than about what is left needs: the last place is full in the course of its step.
  double dt = std::clamp(remaining_volume(state), least_portion * portion, portion) / flow;
  if (nominal_flow_ > 0.0)
    dt = std::min(
        dt, longest_pressure_step * shot_volume_ / (setup_.accuracy.volume_steps * nominal_flow_));
  if (state.last_dt > 0.0) dt = std::min(dt, step_growth * state.last_dt);
  if (state.step == 0) {
    // Nothing has flowed yet: begin with what one control volume of the inlet would take.
    constexpr double first_step = 1e-5;
    dt = first_step;
  }
  return std::min(dt, setup_.process.time_limit - state.time);
}

double Fill::barrel_compliance(const State& state) const {
  if (!setup_.process.barrel_compressible) return 0.0;
  const double kappa = compressibility(setup_.material.pvt, setup_.process.melt_temperature,
                                       state.injection_pressure);
  return kappa * std::max(barrel_volume_ - state.displaced, setup_.press.nozzle_volume);
}

Inlet Fill::inlet(const State& state, double dt) const {
  Inlet in;
  in.node = index(setup_.model.injection);
  if (setup_.process.constant_pressure > 0.0) {
    in.pressure_given = true;
    in.pressure = setup_.process.constant_pressure;
  } else if (state.mode == FillMode::holding) {
    in.pressure_given = true;
    in.pressure = state.holding_pressure;
  } else {
    in.flow = set_flow(state);
    in.compliance = barrel_compliance(state) / dt;
    in.reference = state.injection_pressure;
    if (state.mode == FillMode::pressure_limit) {
      in.pressure_given = true;
      in.pressure = setup_.process.injection_pressure_max;
    }
  }
  return in;
}

/// Speed and pressure limit take turns; true when the inlet has changed.
bool Fill::limit_pressure(const State& state, Inlet& inlet, int& flips) const {
  const double limit = setup_.process.injection_pressure_max;
  if (setup_.process.constant_pressure > 0.0 || state.mode == FillMode::holding || limit <= 0.0)
    return false;
  constexpr int most_flips = 4;
  const double p = front_.pressure()[inlet.node];
  if (!inlet.pressure_given && p > limit * (1.0 + 1e-9)) {
    inlet.pressure_given = true;
    inlet.pressure = limit;
    ++flips;
    return true;
  }
  const double flow_by_speed = inlet.flow - inlet.compliance * (limit - inlet.reference);
  if (inlet.pressure_given && flips < most_flips && front_.inlet_flow() > flow_by_speed) {
    inlet.pressure_given = false;
    ++flips;
    return true;
  }
  return false;
}

SolveReport Fill::solve_front(State& state, const Inlet& in) {
  {
    const StageTimer timer(seconds_.fluidity);
    mobility_.conductance(mobility_state(state), conductance_);
  }
  const StageTimer timer(seconds_.front);
  ++solutions_;
  return front_.iterate(conductance_, in);
}

/// @return the set, the fluidity and the gas have settled
bool Fill::solve_step(State& state, Inlet& in) {
  int flips = 0;
  int rounds = 0;        // updates of the fluidity with any settled set
  bool settled = false;  // the last update saw the present set
  Melt melt = Melt::changed;
  double change = 0.0;
  double excess_before = 1.0;
  for (int i = 0; i < most_solutions; ++i) {
    const SolveReport report = solve_front(state, in);
    if (!report.converged) {
      char text[160];
      std::snprintf(text, sizeof text,
                    "no pressure solution at t = %.6g s, %.3g %% filled: the matrix is singular",
                    state.time, 100.0 * state.injected / shot_volume_);
      throw SolveError(text);
    }
    const bool switched = limit_pressure(state, in, flips);
    const bool same_set = front_.moved() == 0 && !switched;
    const bool hardly = excess_before < early_excess * setup_.accuracy.tolerance &&
                        change < early_change * setup_.accuracy.tolerance;
    const bool seen = settled || (i > 0 && hardly);
    excess_before = front_.excess();
    if (same_set && seen && change < setup_.accuracy.tolerance &&
        front_.gas_change() < gas_tolerance)
      return true;
    // While the set still moves, fluidities follow; after many rounds they are held so that it can
    // end.
    if (rounds < most_iterations) {
      const StageTimer timer(seconds_.fluidity);
      change = mobility_.update(inverse_, front_.pressure(), mobility_state(state), melt);
      melt = Melt::same;
    } else {
      change = 0.0;
    }
    settled = same_set;
    rounds += same_set ? 1 : 0;
  }
  return false;
}

/// Solves for the front; where gas drives melt back far, or nothing settles, with a shorter step.
/// @return the length of the step [s]
double Fill::advance_front(State& state, Inlet& in) {
  double dt = step_length(state);
  for (int attempt = 0;; ++attempt) {
    if (air_) air_->begin(state.air, state.fill.span(), state.time, dt);
    front_.begin(state.fill.span(), state.pressure.span(), dt, air_ ? &*air_ : nullptr,
                 state.air.gas_pressure.span());
    front_.foresee(state.flux);
    const bool room = state.injected < (1.0 - room_for_excess) * shot_volume_;
    front_.tolerate(room ? excess_share * setup_.accuracy.tolerance : 0.0);
    in = inlet(state, dt);
    const bool settled = solve_step(state, in);
    constexpr int most_attempts = 8;
    constexpr double shorter = 0.25;
    if (settled && (!front_.too_far() || attempt >= most_attempts)) return dt;
    if (attempt >= most_attempts) break;
    dt *= shorter;
  }
  char text[160];
  std::snprintf(text, sizeof text, "the front did not settle at t = %.6g s, %.3g %% filled",
                state.time, 100.0 * state.injected / shot_volume_);
  throw SolveError(text);
}

void Fill::step(State& state) {
  fill_before_ = state.fill.vector();
  find_viscosity(state);
  Inlet in;
  const double dt = advance_front(state, in);
  if (state.mode == FillMode::speed || state.mode == FillMode::pressure_limit)
    state.mode = in.pressure_given ? FillMode::pressure_limit : FillMode::speed;
  take_over(state, in, dt);
  record_times(state, dt);
  record_gates(state);
  if (!setup_.isothermal) heat(state, dt);
  note_front(
      mobility_.volumes(), setup_.model.position, grid_,
      {fill_before_, state.fill.span(), state.pressure.span(), state.flux, state.temperature},
      state.front);
  state.time += dt;
  ++state.step;
  state.last_dt = dt;
  switch_over_or_end(state);
}

void Fill::find_viscosity(const State& state) {
  const StageTimer timer(seconds_.viscosity);
  const ControlVolumes& v = mobility_.volumes();
  inverse_viscosity(
      setup_.material, grid_, mould_contact(setup_),
      {state.temperature, state.pressure.span(), v.half_gap, state.fill.span(), v.contact},
      inverse_);
  fresh_where_empty(state.fill.span());
}

void Fill::take_over(State& state, const Inlet& in, double dt) {
  state.fill.vector() = front_.fill();
  state.pressure.vector() = front_.pressure();
  if (air_)
    air_->finish(state.air, front_.fill(), front_.node_pocket(), front_.pocket_pressure(),
                 state.time);
  state.flux = front_.flux();
  state.flow_rate = front_.inlet_flow();
  const double p = front_.pressure()[in.node];
  state.injected += state.flow_rate * dt;
  state.displaced +=
      state.flow_rate * dt + barrel_compliance(state) * (p - state.injection_pressure);
  state.injection_pressure = p;
  if (p > state.peak_pressure) {
    state.peak_pressure = p;
    state.peak_field = state.pressure;
  }
}

void Fill::record_times(State& state, double dt) const {
  note_front_times(mobility_.volumes(),
                   {state.time, dt, fill_before_, state.fill.span(), state.pressure.span(),
                    state.flux, index(setup_.model.injection), state.flow_rate},
                   state.arrival.span(), state.full.span());
}

void Fill::record_gates(State& state) const {
  const Model& model = setup_.model;
  std::vector<int> gate_of(model.channels.size(), -1);
  std::vector<double> loss(state.gate_pressure_loss.size(), 0.0);
  int gates = 0;
  for (std::size_t c = 0; c < model.channels.size(); ++c)
    if (model.channels[c].role == Role::gate) gate_of[c] = gates++;
  State& s = state;
  for (std::size_t k = 0; k < model.lines.size(); ++k) {
    const LineElement& line = model.lines[make_id<LineId>(k)];
    const int gate = gate_of[line.channel];
    if (gate < 0 || state.fill[line.to] < 1.0) continue;
    loss[gate] += state.pressure[line.from] - state.pressure[line.to];
    s.gate_shear_rate[gate] = std::max(s.gate_shear_rate[gate],
                                       mobility_.line_shear_rate(inverse_, mobility_state(s), k));
  }
  for (std::size_t g = 0; g < loss.size(); ++g)
    s.gate_pressure_loss[g] = std::max(s.gate_pressure_loss[g], loss[g]);
}

void Fill::heat(State& state, double dt) {
  const StageTimer timer(seconds_.heat);
  mobility_.node_gradient(mobility_state(state), node_gradient_);
  mobility_.node_neutral(mobility_state(state), node_neutral_);
  SweepInput in;
  in.dt = dt;
  in.fill_before = fill_before_;
  in.fill_after = state.fill.span();
  in.pressure = state.pressure.span();
  in.flux = state.flux;
  in.inverse = inverse_;
  in.gas_pressure = front_.gas_pressure();
  in.gradient = node_gradient_;
  in.neutral = node_neutral_;
  in.inlet = index(setup_.model.injection);
  in.inlet_flow = state.flow_rate;
  sweep_.advance(in, state.temperature, state.shear_rate.span());
}

}  // namespace firstshot
