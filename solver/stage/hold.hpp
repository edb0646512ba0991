// Holding: the full cavity takes in more melt under the press's holding pressure while it cools,
// until its gates are solid; then it is closed, and its pressure falls at constant mass. On the
// network of the fill, per control volume with mass m:
//
//   (m_i - m_i⁰)/Δt = Σ_j ρ_ij c_ij (p_j - p_i) + source_i,   m_i = M_i(T, p_i)   while p_i > 0,
//   m_i ≤ M_i(T, 0)   where p_i = 0: the plastic has shrunk away from the wall
//
// backward Euler; c_ij from the same mobility as in the fill (flow/mobility.hpp), M from the
// two-domain Tait equation (gap_mass.hpp). Newton steps on M and the active set of p_i ≥ 0 share
// one loop with the fluidity. Mass is kept to rounding. Each step first moves the heat on (same
// sweep as in the fill; melt that stays is spread over the layers by their share), then solves
// the pressures at the new temperatures.
// Air that could not leave takes its room from M (held_gas.hpp).
//
// Press: the pressure at the injection point follows process.holding, no faster than the screw can
// move (press.speed_max) against the melt ahead of it; afterwards it falls to 0, and melt flows
// back where the way is still open. Without process.holding the pressure set at switch-over acts
// until no part can be reached any more.
//
// Steps grow in proportion to the time since the last change of the set pressure. Left out: the
// mould's own give, heat of compression (about 0.1 K/MPa), conduction along the part, stresses in
// the solid, void growth under tension.
#pragma once

#include <vector>

#include "solver/stage/fill.hpp"
#include "solver/stage/gap_mass.hpp"
#include "solver/stage/held_gas.hpp"

namespace firstshot {

/// Longest time from the full cavity to the end of this stage [s].
inline constexpr double longest_hold = 1.5 * longest_holding;

class Hold {
 public:
  /// @param setup and fill must outlive the Hold; fill lends its mobility, heat sweep, grid,
  /// pressure solver and array of viscosities
  Hold(const Setup& setup, Fill& fill);

  /// Before the cavity is full, after each step of the fill: notes what turns to glass, and the
  /// mass of places that freezing cuts off, which stays from then on (cut_off.cpp).
  /// @return force that opens the mould [N]: what freezing has cut off has the pressure of its
  /// mass. The fill, which knows no shrinking, leaves it at that of the runner (6 % of the peak
  /// force of a kit frame).
  double watch(State& state);
  /// Takes over a State whose cavity is full.
  void begin(State& state);
  /// One step. @throws SolveError
  void step(State& state);
  static bool done(const State& state) { return state.hold.mode == HoldMode::done; }
  HistoryEntry history(const State& state) const;
  /// Linear solutions since construction.
  long solutions() const { return solutions_; }
  /// Pressure that the press is set to at time t [Pa]; 0 once it has let go.
  double set_pressure(const State& state, double time) const;

 private:
  double step_length(const State& state) const;
  double profile_start(const State& state) const;
  void make_room(State& state) const;
  void look_for_open();
  NodeMass mass_at(const State& state, std::size_t node, double pressure) const;
  double loose(const State& state, std::size_t node) const;
  void level_cut_off(State& state);
  void share_pressure(State& state, std::span<const std::size_t> nodes);
  void heat(State& state, double dt);
  void find_viscosity(const State& state);
  bool solve(State& state, double dt);
  void begin_solution(const State& state, double target);
  void assemble(const State& state, double dt);
  void take_solution(const State& state, double dt);
  bool change_set(const State& state, double dt);
  bool limit_screw(const State& state, double dt);
  double new_mass(const State& state, std::size_t node, double dt) const;
  void take_over(State& state, double dt);
  void note_ejectable(State& state, double dt, std::size_t node) const;
  void note_frozen(State& state, double dt, std::span<const double> pressure_before,
                   std::span<const double> pressure) const;
  void note_masses(State& state);
  void go_on(State& state) const;
  void find_reached();
  bool core_solid(std::size_t node) const { return open_[node] == 0; }

  const Setup& setup_;
  Fill& fill_;
  const ControlVolumes& volumes_;
  GapMass gap_mass_;
  HeldGas held_gas_;
  double finer_ = 1.0;                 // first steps against those at 120 volume steps [-]
  double growth_ = 0.0;                // step per time since the event [-]
  std::vector<double> part_share_;     // (n_nodes) of the volume that belongs to parts [-]
  std::vector<std::uint8_t> unknown_;  // (n_nodes) 1: pressure is sought
  std::vector<double> ones_;           // (n_nodes)
  // One step:
  std::vector<double> conductance_, mass_conductance_, gradient_, neutral_;
  std::vector<double> pressure_, solution_, diagonal_, right_, flux_, core_before_;
  std::vector<NodeMass> mass_;          // at pressure_
  std::vector<std::uint8_t> attached_;  // (n_nodes) 1: pressure is sought, 0: pressure 0
  std::vector<std::int32_t> departures_;
  std::vector<std::uint8_t> loose_before_;  // (n_nodes) 1: was not pressed at the last solution
  std::vector<std::uint8_t> reached_;       // (n_nodes) 1: melt still comes here
  std::vector<std::uint8_t> open_;          // (n_nodes) 1: some layer flows
  double target_ = 0.0;                     // set pressure [Pa]
  double inflow_ = 0.0;                     // through the injection point [kg/s]
  double compliance_ = 0.0;                 // of the melt ahead of the screw [m³/Pa]
  int limited_ = 0;                         // +1, -1: the screw moves as fast as it can
  double eos_error_ = 0.0;
  long solutions_ = 0;
};

}  // namespace firstshot
