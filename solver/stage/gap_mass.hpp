// Mass of melt and glass in each control volume by its pressure, at the present temperatures:
//
//   M_i(p) = V_i Σ_l share_l / v(T_l, p)      v: two-domain Tait (material/tait.hpp)
//
// Which domain a layer is in is decided once, at the pressure that it begins with: within a step
// M(p) is then smooth and rises with p, so that Newton's method settles. The step of up to 0.06 %
// that the two domains leave between them at high pressure goes into the next step's pressure. The
// mould is taken as rigid.
#pragma once

#include <span>
#include <vector>

#include "solver/flow/control_volumes.hpp"
#include "solver/flow/gap_flow.hpp"
#include "solver/material/tait.hpp"

namespace firstshot {

struct NodeMass {
  double mass = 0.0;   ///< [kg]
  double slope = 0.0;  ///< dM/dp [kg/Pa] > 0
};

class GapMass {
 public:
  GapMass(const ControlVolumes& volumes, const GapGrid& grid, const TaitPvt& pvt);

  /// Takes temperatures (n_nodes, n_columns) [K] and the pressures that layers begin with
  /// (n_nodes) [Pa].
  void prepare(std::span<const double> temperature, std::span<const double> pressure);

  /// The same for one control volume.
  void prepare(std::size_t node, std::span<const double> temperature, double pressure);

  /// Mass of control volume `node` under `pressure` [Pa] ≥ 0.
  NodeMass at(std::size_t node, double pressure) const;
  /// Without pressure: what more cooling at constant mass can no longer fill [kg].
  double loose(std::size_t node) const { return loose_[node]; }
  /// Density of the melt that moves, in the hottest layer, at the pressure of prepare (n_nodes)
  /// [kg/m³].
  const std::vector<double>& moving_density() const { return moving_; }

 private:
  const ControlVolumes& volumes_;
  const GapGrid& grid_;
  TaitPvt pvt_;
  std::vector<TaitBranch> branch_;  // (n_nodes, n_columns)
  std::vector<double> loose_, moving_;
  std::vector<double> slit_share_, round_share_;  // (n_columns)
};

}  // namespace firstshot
