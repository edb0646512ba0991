// Filling of the cavity, step by step: front → heat → viscosity, with the press in the loop.
//
// Press: the melt ahead of the screw gives way, flow into the mould = A v - κ V dp/dt [Tait
// compressibility κ]; at the pressure limit the press goes on at the limit; after switch-over the
// holding pressure acts. Steps bring at most 1/volume_steps of the shot; the time error is first
// order (README, accuracy). Filling ends when all is full, when flow has died (frozen or too little
// pressure), or at the time limit.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mesh/error.hpp"
#include "solver/flow/air_pockets.hpp"
#include "solver/flow/front.hpp"
#include "solver/flow/gap_flow.hpp"
#include "solver/flow/mobility.hpp"
#include "solver/heat/sweep.hpp"
#include "solver/stage/stage_seconds.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

/// No solution at a step after all retries; the message says when, how full, and the last residual.
class SolveError : public Error {
 public:
  using Error::Error;
};

/// Speed control never brings more than this share: the last melt needs pressure control.
inline constexpr double most_by_speed = 0.995;

/// What is left of pocket p is smaller than a pocket of the case: the part counts as full.
bool is_bubble(const Setup& setup, const PocketTable& pockets, std::size_t p);

/// The part of a State that the mobility works on.
MobilityState mobility_state(State& state);

class Fill {
 public:
  /// @param setup must outlive the Fill
  explicit Fill(const Setup& setup);

  State start() const;
  /// One step. @throws SolveError
  void step(State& state);
  bool done(const State& state) const { return state.mode == FillMode::done; }
  HistoryEntry history(const State& state) const;
  /// Of melt on the mould, seen along the draw. @param pressure (n_nodes) [Pa] @return [N]
  double opening_force(std::span<const double> pressure) const;
  double shot_volume() const { return shot_volume_; }  ///< of cavity and channels [m³]
  const ControlVolumes& volumes() const { return mobility_.volumes(); }
  const GapGrid& grid() const { return grid_; }
  /// Iterations of all steps since construction: linear solutions.
  long solutions() const { return solutions_; }
  const StageSeconds& seconds() const { return seconds_; }
  /// How much the melt ahead of the screw gives way [m³/Pa].
  double barrel_compliance(const State& state) const;
  /// Lent to what follows the fill on the same network; each step makes them anew.
  Mobility& mobility() { return mobility_; }
  SubsetSolver& pressure_solver() { return front_.solver(); }
  /// 1/η₀ (n_nodes, n_columns) of the last step [1/(Pa s)].
  std::vector<double>& inverse() { return inverse_; }
  HeatSweep& sweep() { return sweep_; }

 private:
  void fresh_where_empty(std::span<const double> fill);
  double set_flow(const State& state) const;
  double step_length(const State& state) const;
  Inlet inlet(const State& state, double dt) const;
  double advance_front(State& state, Inlet& inlet);
  void find_viscosity(const State& state);
  SolveReport solve_front(State& state, const Inlet& inlet);
  bool solve_step(State& state, Inlet& inlet);
  bool limit_pressure(const State& state, Inlet& inlet, int& flips) const;
  void take_over(State& state, const Inlet& inlet, double dt);
  void record_times(State& state, double dt) const;
  void record_gates(State& state) const;
  void heat(State& state, double dt);
  void switch_over_or_end(State& state);
  double front_solid_share(const State& state) const;
  double remaining_volume(const State& state) const;
  double bubble_volume(const State& state) const;
  Outcome end_of_flow(const State& state) const;

  const Setup& setup_;
  ReducedCurve curve_;
  GapGrid grid_;
  Mobility mobility_;
  FrontSolver front_;
  std::optional<AirPockets> air_;  // while air is followed
  HeatSweep sweep_;
  double shot_volume_ = 0.0;
  double nominal_flow_ = 0.0;
  double barrel_volume_ = 0.0;
  std::vector<double> plan_area_;  // (n_nodes) seen along the draw [m²]
  std::vector<double> fresh_;      // (n_columns) 1/η₀ of melt as it arrives [1/(Pa s)]
  std::vector<double> inverse_, conductance_, node_gradient_, node_neutral_, fill_before_;
  long solutions_ = 0;
  StageSeconds seconds_;
};

}  // namespace firstshot
