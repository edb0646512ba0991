// Heat through the gap of one control volume: conduction across the layers, contact with the mould,
// melt coming in with its own temperature, flow across layers, shear heating; backward Euler, one
// tridiagonal solve.
//
//   ρ c V_l f⁰ (T_l - T_l⁰)/Δt + ρ c Σ_in Q_in,l (T_l - T_in,l) + ρ c cross flow
//       = Σ G (T_l±1 - T_l) + G_wall (T_mould - T_l) + P_l
//
// written with the differences of temperature (continuity of each layer taken out), so that it has
// a maximum principle and no step limit. Contact: G_wall in series 1/h_c and half the wall layer.
#pragma once

#include <span>
#include <vector>

#include "solver/flow/gap_flow.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// What the column's equation reads.
struct ColumnInput {
  double volume = 0.0;    ///< of the control volume [m³]
  double half_gap = 0.0;  ///< half gap, or radius when round [m]
  bool round = false;
  double contact = 1.0;                ///< its contact with the mould over the wall's [-]
  double fill_before = 0.0;            ///< [-]
  double fill_after = 0.0;             ///< [-]
  double dt = 0.0;                     ///< [s]
  double heating = 0.0;                ///< shear heating of the whole control volume [W]
  std::span<const double> heat_share;  ///< (n_columns), sum 1
  std::span<const double> inflow;  ///< ρ-free flow into each layer Σ Q_in,l (n_columns) [m³/s]
  std::span<const double> inflow_heat;  ///< Σ Q_in,l T_in,l (n_columns) [m³ K/s]
  std::span<const double> outflow;      ///< (n_columns) [m³/s]
  bool detached = false;                ///< has shrunk away from the wall
  double stored = 0.0;  ///< taken up by compression, by each layer in proportion [m³/s]
};

/// Temperatures of the mould surface and the contact between melt and mould.
struct MouldContact {
  double fixed = 313.15;     ///< [K]
  double moving = 313.15;    ///< [K]
  double conductance = 1e4;  ///< [W/(m² K)]; 0 = insulated
  double detached = 2e3;     ///< once the plastic has shrunk away [W/(m² K)]
};

/// The contact of a setup; none where melt stays at its temperature.
MouldContact mould_contact(const Setup& setup);

/// Holds the scratch space of one thread.
class ColumnSolver {
 public:
  ColumnSolver(const GapGrid& grid, const Material& material, const MouldContact& contact);
  /// Moves `temperature` (n_columns) [K] on by dt.
  void advance(const ColumnInput& in, std::span<double> temperature);

 private:
  void add_conduction(const ColumnInput& in);
  void add_flow(const ColumnInput& in, double heat_capacity_volume);
  void solve(std::span<double> temperature);

  const GapGrid& grid_;
  const Material& material_;
  MouldContact contact_;
  std::vector<double> lower_, diagonal_, upper_, right_, excess_, across_;
};

}  // namespace firstshot
