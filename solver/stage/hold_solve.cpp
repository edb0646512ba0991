// One step's pressures: Newton on the mass of each control volume, the active set of p ≥ 0, the
// fluidity and the screw, in one loop.
#include <algorithm>
#include <atomic>
#include <cmath>
#include <numbers>

#include "solver/numeric/parallel.hpp"
#include "solver/stage/hold.hpp"

namespace firstshot {
namespace {

constexpr int most_iterations = 120;
/// After so many rounds the fluidity is held, so that the set can end.
constexpr int most_updates = 40;
/// Mass that the equation of state does not account for, relative, at which a step ends.
constexpr double mass_tolerance = 1e-7;
/// A control volume may let go of the wall this often in a step.
constexpr int most_departures = 3;
/// A pressure this little below 0, or above it in a volume that has let go, changes nothing that
/// anybody measures [Pa]: the set may end with it, and the next step sees it. Single volumes at the
/// rim of what is still pressed cost two of three solutions late in holding.
constexpr double hardly_pressed = 1e3;
/// Beside caught air a pressure falls by no more than to this share per solution, down to this one
/// [Pa].
constexpr double farthest_fall = 0.3, least_gas_pressure = 1e4;

}  // namespace

NodeMass Hold::mass_at(const State& s, std::size_t node, double pressure) const {
  return held_gas_.beside(gap_mass_.at(node, pressure), s.hold.gas.vector()[node], node, pressure);
}

/// Without pressure; beside caught air under that of the room.
double Hold::loose(const State& s, std::size_t node) const {
  const double gas = s.hold.gas.vector()[node];
  const double full = gap_mass_.loose(node);
  return gas > 0.0 ? held_gas_.beside({full, 0.0}, gas, node, 0.0).mass : full;
}

/// The set starts with the volumes that are pressed against the wall at the new temperatures.
void Hold::begin_solution(const State& s, double target) {
  target_ = target;
  pressure_ = s.pressure.vector();
  limited_ = 0;
  compliance_ = fill_.barrel_compliance(s);
  std::fill(departures_.begin(), departures_.end(), 0);
  parallel_for(pressure_.size(), [&](std::size_t i) {
    attached_[i] = pressure_[i] > 0.0 || s.hold.mass.vector()[i] > loose(s, i) ? 1 : 0;
    mass_[i] = mass_at(s, i, pressure_[i]);
  });
  attached_[index(setup_.model.injection)] = 1;  // the press gives its pressure
}

bool Hold::solve(State& s, double dt) {
  begin_solution(s, set_pressure(s, s.time + 0.5 * dt));
  Melt melt = Melt::changed;
  double change = 0.0;
  bool seen = false;  // the fluidity has seen the present set
  int updates = 0;
  for (int k = 0; k < most_iterations; ++k) {
    fill_.mobility().conductance(mobility_state(s), conductance_);
    assemble(s, dt);
    ++solutions_;
    if (!fill_.pressure_solver()
             .solve(mass_conductance_, diagonal_, right_, unknown_, solution_)
             .converged)
      return false;
    take_solution(s, dt);
    const bool switched = limit_screw(s, dt);
    const bool moved = change_set(s, dt);
    const bool same = !switched && !moved;
    if (same && seen && change < setup_.accuracy.tolerance && eos_error_ < mass_tolerance)
      return true;
    if (updates < most_updates) {
      change = fill_.mobility().update(fill_.inverse(), pressure_, mobility_state(s), melt);
      melt = Melt::same;
    } else {
      change = 0.0;
    }
    updates += same ? 1 : 0;
    seen = same;
  }
  return false;
}

void Hold::assemble(const State& s, double dt) {
  const std::vector<double>& rho = gap_mass_.moving_density();
  parallel_for(volumes_.edges.size(), [&](std::size_t e) {
    const auto [a, b] = volumes_.edges[e];
    mass_conductance_[e] = conductance_[e] * 0.5 * (rho[a] + rho[b]);
  });
  parallel_for(pressure_.size(), [&](std::size_t i) {
    unknown_[i] = attached_[i];
    solution_[i] = 0.0;
    if (attached_[i] == 0) return;
    diagonal_[i] = mass_[i].slope / dt;
    right_[i] = diagonal_[i] * pressure_[i] + (s.hold.mass.vector()[i] - mass_[i].mass) / dt;
  });
  const std::size_t inlet = index(setup_.model.injection);
  if (limited_ == 0) {
    unknown_[inlet] = 0;
    solution_[inlet] = target_;
    return;
  }
  constexpr double quarter_pi = 0.25 * std::numbers::pi;
  const double screw = quarter_pi * setup_.press.screw_diameter * setup_.press.screw_diameter *
                       setup_.press.speed_max;
  diagonal_[inlet] += rho[inlet] * compliance_ / dt;
  right_[inlet] += rho[inlet] * (limited_ * screw + compliance_ * s.injection_pressure / dt);
}

double Hold::new_mass(const State& s, std::size_t node, double dt) const {
  double in = node == index(setup_.model.injection) ? inflow_ : 0.0;
  for (const Neighbour& k : volumes_.around(node)) {
    const auto e = static_cast<std::size_t>(k.edge);
    const auto [a, b] = volumes_.edges[e];
    in -= k.sign * mass_conductance_[e] * (pressure_[a] - pressure_[b]);
  }
  return s.hold.mass.vector()[node] + dt * in;
}

/// New pressures, the mass that the equation of state gives them, and the flows between them.
void Hold::take_solution(const State& s, double dt) {
  const std::size_t inlet = index(setup_.model.injection);
  std::vector<double>& error = right_;
  parallel_for(pressure_.size(), [&](std::size_t i) {
    error[i] = 0.0;
    if (attached_[i] == 0) {
      pressure_[i] = 0.0;
      return;
    }
    const bool given = i == inlet && limited_ == 0;
    double p = given ? target_ : solution_[i];
    // The room of caught air bends so much that Newton's step would go far past it downwards.
    const bool far = s.hold.gas.vector()[i] > 0.0 && pressure_[i] > least_gas_pressure &&
                     p < farthest_fall * pressure_[i];
    if (far) p = farthest_fall * pressure_[i];
    const double linear = mass_[i].mass + mass_[i].slope * (p - pressure_[i]);
    pressure_[i] = p;
    if (p < 0.0) return;  // will leave the set
    mass_[i] = mass_at(s, i, p);
    error[i] = given ? 0.0 : far ? 1.0 : std::abs(mass_[i].mass - linear) / mass_[i].mass;
  });
  eos_error_ = *std::max_element(error.begin(), error.end());
  parallel_for(flux_.size(), [&](std::size_t e) {
    const auto [a, b] = volumes_.edges[e];
    flux_[e] = conductance_[e] * (pressure_[a] - pressure_[b]);
  });
  inflow_ = 0.0;
  inflow_ = (mass_[inlet].mass - new_mass(s, inlet, dt)) / dt;
}

/// The screw cannot follow at once: it goes as fast as it can until the set pressure is reached.
bool Hold::limit_screw(const State& s, double dt) {
  const std::size_t inlet = index(setup_.model.injection);
  if (limited_ == 0) {
    const double demand = inflow_ / gap_mass_.moving_density()[inlet] +
                          compliance_ * (pressure_[inlet] - s.injection_pressure) / dt;
    constexpr double quarter_pi = 0.25 * std::numbers::pi;
    const double most = quarter_pi * setup_.press.screw_diameter * setup_.press.screw_diameter *
                        setup_.press.speed_max;
    if (std::abs(demand) <= most || departures_[inlet] >= most_departures) return false;
    limited_ = demand > 0.0 ? 1 : -1;
    ++departures_[inlet];
    return true;
  }
  const bool passed = limited_ > 0 ? pressure_[inlet] > target_ : pressure_[inlet] < target_;
  if (!passed) return false;
  limited_ = 0;
  return true;
}

/// Volumes whose pressure would be negative let go of the wall; those with more mass than fits
/// without pressure are pressed against it. @return something changed
bool Hold::change_set(const State& s, double dt) {
  const std::size_t inlet = index(setup_.model.injection);
  std::atomic<bool> moved{false};
  parallel_for(pressure_.size(), [&](std::size_t i) {
    loose_before_[i] = attached_[i] == 0 ? 1 : 0;
    if (i == inlet || attached_[i] == 0 || pressure_[i] >= 0.0) return;
    const bool hardly = pressure_[i] > -hardly_pressed;
    pressure_[i] = 0.0;
    mass_[i] = mass_at(s, i, 0.0);
    if (departures_[i] >= most_departures) return;
    ++departures_[i];
    attached_[i] = 0;
    if (!hardly) moved.store(true, std::memory_order_relaxed);
  });
  parallel_for(pressure_.size(), [&](std::size_t i) {
    if (i == inlet || loose_before_[i] == 0) return;
    const double room = mass_[i].mass + hardly_pressed * mass_[i].slope;
    if (new_mass(s, i, dt) <= room) return;
    attached_[i] = 1;
    moved.store(true, std::memory_order_relaxed);
  });
  return moved.load();
}

}  // namespace firstshot
