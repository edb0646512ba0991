// The melt front by complementarity, implicit in time. Per control volume
//
//   V_i (f_i - f_i⁰)/Δt = Σ_j c_ij (p_j - p_i) + source_i,    0 ≤ p_i - p_gas  ⟂  1 - f_i ≥ 0,
//
// backward Euler: a control volume is either full with a pressure of its own, or holds gas pressure
// and takes what flows in. Solved by an active set; c ≥ 0 makes it converge. For constant mobility
// the result does not depend on the step [ElliottJanovsky1981] (Baiocchi transform), which is the
// strongest test it can have. There is no step limit from small elements or gates.
//
// With pockets of air p_gas is each pocket's own and unknown: the melt's response to it, dV_k/dp_l,
// comes from one more substitution per pocket, and Newton steps on the small system
//
//   V_k(melt; p) = V_k(gas; p)      for every pocket k
//
// follow each linear solution, so small stiff pockets need no small steps. V(gas) is convex and
// falls, V(melt) is linear and rises with p: Newton is monotone. A pocket that hardly answers
// within a step takes its pressure from the iteration before. Gas may push melt back: a control
// volume that would be drained of more than it holds hands the front to its full neighbours; what
// then still has no melt to give is shut off for the step, so that melt is never made.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solver/flow/air_pockets.hpp"
#include "solver/flow/control_volumes.hpp"
#include "solver/numeric/subset_solver.hpp"

namespace firstshot {

/// How melt enters: a flow that gives way to pressure, or a given pressure.
struct Inlet {
  std::size_t node = 0;
  bool pressure_given = false;
  double pressure = 0.0;    ///< when given [Pa]
  double flow = 0.0;        ///< at reference pressure, when pressure is not given [m³/s]
  double compliance = 0.0;  ///< flow lost per pressure above the reference [m³/(s Pa)] ≥ 0
  double reference = 0.0;   ///< [Pa]
};

class FrontSolver {
 public:
  FrontSolver(const ControlVolumes& volumes, double gas_pressure);

  /// Begins a step of length dt [s] from fill shares `fill` (n_nodes) and pressures `pressure`
  /// (n_nodes). The first set are the full volumes.
  /// @param air pockets that have begun the same step, nullptr: gas at the given pressure
  void begin(std::span<const double> fill, std::span<const double> pressure, double dt,
             const AirPockets* air = nullptr, std::span<const double> gas_pressure = {});

  /// After begin: takes what the flux of the step before (n_edges) would fill in this one into the
  /// first set. What the set becomes in the end does not depend on that.
  void foresee(std::span<const double> flux_before);

  /// Control volumes may end a step a little more than full, all of them together by this share of
  /// the melt that enters in it; what is too much is there at the next step. 0: none.
  void tolerate(double excess_share) { tolerated_ = excess_share; }

  /// One linear solution for the present set, then the change of the set it asks for.
  /// @param conductance (n_edges) ≥ 0 [m³/(Pa s)]
  SolveReport iterate(std::span<const double> conductance, const Inlet& inlet);

  int moved() const { return moved_; }  ///< nodes that changed sides in the last iteration
  /// Melt beyond full after the last solution, in share of what enters in the step [-].
  double excess() const { return excess_share_; }
  const std::vector<double>& pressure() const { return pressure_; }  ///< (n_nodes) [Pa]
  const std::vector<double>& fill() const { return fill_; }          ///< (n_nodes) [-]
  const std::vector<double>& flux() const {
    return flux_;
  }                                                  ///< (n_edges) from first to second end [m³/s]
  double inlet_flow() const { return inlet_flow_; }  ///< [m³/s]
  /// Of this network; every solution brings its own matrix.
  SubsetSolver& solver() { return solver_; }

  /// Largest change of a gas pressure that the last solution did not see, in share of the highest
  /// pressure [-].
  double gas_change() const { return gas_change_; }
  /// Gas would have driven melt back by more than one control volume: take a shorter step.
  bool too_far() const { return too_far_; }
  /// Pocket of each node, also of those that melt was pushed out of, -1 = none (n_nodes).
  const std::vector<std::int32_t>& node_pocket() const { return node_pocket_; }
  /// Gauge (n_pockets) [Pa]; of a pocket that melt has covered, what it takes to press its gas out.
  const std::vector<double>& pocket_pressure() const { return settled_pressure_; }
  /// Gauge, of the gas that a node holds or would give way to (n_nodes) [Pa].
  const std::vector<double>& gas_pressure() const { return gas_; }

 private:
  void update_fill(const Inlet& inlet);
  void update_set();
  void spread(int rings);
  double highest_pressure() const;
  // With pockets of air (front_air.cpp).
  std::span<const double> open_conductance(std::span<const double> conductance);
  SolveReport couple(std::span<const double> conductance, const Inlet& inlet);
  std::int32_t empty_pocket(std::size_t node) const;
  void find_pocket_borders();
  std::vector<double> pocket_inflow(std::span<const double> conductance,
                                    std::span<const double> x) const;
  std::vector<double> volume_by_melt(std::span<const double> conductance, const Inlet& inlet) const;
  std::vector<std::size_t> stiff_pockets(const std::vector<double>& volume,
                                         std::vector<double>& next);
  SolveReport respond(std::span<const double> conductance, const Inlet& inlet, std::size_t pocket,
                      std::vector<double>& y, std::vector<double>& volume);
  void set_gas(const std::vector<double>& pressure);
  double resistance(std::size_t node) const;
  void give_way();
  bool hand_over(std::size_t node);
  bool shut_off(std::size_t node);

  const ControlVolumes& volumes_;
  double gas_pressure_;
  double dt_ = 0.0;
  SubsetSolver solver_;
  std::vector<std::uint8_t> full_, unknown_, departures_;
  std::vector<double> fill_before_, fill_, pressure_, flux_, diagonal_, right_;
  std::vector<double> excess_;       // volume beyond full, ≤ 0 where there is room [m³]
  std::vector<std::uint8_t> moves_;  // (n_nodes) what the last solution asks of each
  std::vector<std::size_t> over_;    // control volumes with too much, not yet in the set
  double tolerated_ = 0.0;
  double excess_share_ = 0.0;
  double inlet_flow_ = 0.0;
  int moved_ = 0;
  const AirPockets* air_ = nullptr;
  std::vector<std::int32_t> node_pocket_;
  std::vector<double> gas_, pocket_pressure_, settled_pressure_, open_;
  std::vector<std::uint8_t> beside_pocket_;  // (n_edges) 1 = melt or another pocket at one end
  std::vector<std::uint8_t> covered_;        // (n_pockets) 1 = no empty node left
  std::vector<std::uint8_t> coupled_;  // (n_pockets) 1 = solved together with the melt in this step
  int rounds_ = 0;                     // of this step
  std::vector<std::uint8_t> shut_;     // (n_edges) 1 = nothing to give
  bool any_shut_ = false;
  std::vector<std::uint8_t> handed_;  // (n_nodes) 1 = the front was driven back to here
  bool too_far_ = false;
  double gas_change_ = 0.0;
};

}  // namespace firstshot
