// The melt front by complementarity, implicit in time. Per control volume
//
//   V_i (f_i - f_i⁰)/Δt = Σ_j c_ij (p_j - p_i) + source_i,    0 ≤ p_i - p_gas  ⟂  1 - f_i ≥ 0,
//
// backward Euler: a control volume is either full with a pressure of its own, or holds gas pressure
// and takes what flows in. Solved by an active set; c ≥ 0 makes it converge. For constant mobility
// the result does not depend on the step [ElliottJanovsky1981] (Baiocchi transform), which is the
// strongest test it can have. There is no step limit from small elements or gates.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

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
  /// (n_nodes, guess of the set: full volumes).
  void begin(std::span<const double> fill, std::span<const double> pressure, double dt);

  /// One linear solution for the present set, then the change of the set it asks for.
  /// @param conductance (n_edges) ≥ 0 [m³/(Pa s)]
  SolveReport iterate(std::span<const double> conductance, const Inlet& inlet);

  int moved() const { return moved_; }  ///< nodes that changed sides in the last iteration
  const std::vector<double>& pressure() const { return pressure_; }  ///< (n_nodes) [Pa]
  const std::vector<double>& fill() const { return fill_; }          ///< (n_nodes) [-]
  const std::vector<double>& flux() const {
    return flux_;
  }                                                  ///< (n_edges) from first to second end [m³/s]
  double inlet_flow() const { return inlet_flow_; }  ///< [m³/s]
  const std::vector<std::uint8_t>& wet() const { return full_; }  ///< (n_nodes) 1 = full

 private:
  void update_fill(const Inlet& inlet);
  void update_set();

  const ControlVolumes& volumes_;
  double gas_pressure_;
  double dt_ = 0.0;
  SubsetSolver solver_;
  std::vector<std::uint8_t> full_, unknown_, departures_;
  std::vector<double> fill_before_, fill_, pressure_, flux_, diagonal_, right_;
  double inlet_flow_ = 0.0;
  int moved_ = 0;
};

}  // namespace firstshot
