// Melt at rest cools through its gap: conduction across the layers of one control volume into two
// mould walls, until it may be ejected.
//
//   ρ ∂h/∂t = ∂/∂z (k ∂T/∂z),   q = (T_wall layer - T_mould) / (1/h_c + Δz/2k)     per area of wall
//
// h: heat content (material/enthalpy). Steps: trapezoidal rule, then backward differences
// (TR-BDF2, second order, damps) [BankEtAl1985], each stage by Newton's method; the heat given to
// the walls is what the layers have lost, to rounding.
//
// Contact: h_c while the melt presses on the wall, the smaller `detached` once it has shrunk away:
// when the specific volume at no pressure, mean over the gap, has fallen to what the gap held when
// it was sealed (mass and room of the column stay; own model, no source). Both halves let go
// together.
#pragma once

#include <span>
#include <vector>

#include "solver/flow/gap_flow.hpp"
#include "solver/material/enthalpy.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// Both mould surfaces as the melt meets them.
struct CoolingWalls {
  double fixed = 313.15, moving = 313.15;  ///< surface temperatures [K]
  double contact = 1e4;                    ///< while pressed on [W/(m² K)] > 0
  double detached = 2e3;                   ///< once shrunk away [W/(m² K)] > 0
};

/// One control volume.
struct CoolingPlace {
  double half_gap = 0.0;  ///< half gap, or radius when round [m] > 0
  bool round = false;
  /// Specific volume that the gap held when it was sealed [m³/kg]; 0: it never lets go.
  double sealed_volume = 0.0;
  bool detached = false;  ///< has let go before
  double density = 0.0;   ///< mass over volume of the gap [kg/m³]; 0: the material's
  double contact = 1.0;   ///< with the mould, over the wall's [-]
};

struct CooledColumn {
  double time = 0.0;        ///< when it ended [s]
  double ejectable = -1.0;  ///< when the limit was met [s], -1: not until the end
  double detached = -1.0;   ///< when it let go of the wall [s], -1: not until the end
  double heat_fixed = 0.0;  ///< given to each half, per volume of melt [J/m³]
  double heat_moving = 0.0;
};

/// Holds the scratch space of one thread.
class CoolingColumn {
 public:
  /// @param grid, material, enthalpy must outlive it
  CoolingColumn(const GapGrid& grid, const Material& material, const Enthalpy& enthalpy,
                const CoolingWalls& walls);

  /// Cools `temperature` (n_columns) [K] from `start` on.
  /// @param limit when it may be ejected @param end until this time, or until the limit is met when
  /// it is not finite [s]; a limit that is never met ends at most_time.
  CooledColumn cool(const CoolingPlace& place, const EjectionLimit& limit, double start, double end,
                    std::span<double> temperature);

  /// An hour of cooling: nothing is moulded slower.
  static constexpr double most_time = 3600.0;

 private:
  void set_conductances(const CoolingPlace& place, bool detached);
  double step(double dt, std::span<double> temperature, CooledColumn& out);
  void solve_stage(double weight);
  void flows(std::span<const double> temperature, std::span<double> gain) const;
  double mean(std::span<const double> temperature) const;
  double judged(const EjectionLimit& limit, std::span<const double> temperature) const;
  bool lets_go(const CoolingPlace& place, std::span<const double> temperature) const;

  const GapGrid& grid_;
  const Material& material_;
  const Enthalpy& enthalpy_;
  CoolingWalls walls_;
  double density_ = 0.0;
  double wall_fixed_ = 0.0, wall_moving_ = 0.0;  // [W/(m³ K)]
  // (n_columns): share of the mass, conductance to the next layer [W/(m³ K)], work arrays
  std::vector<double> share_, between_, held_, right_, now_, gain_, before_, lower_, diagonal_,
      rhs_;
};

}  // namespace firstshot
