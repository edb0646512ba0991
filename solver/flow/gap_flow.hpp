// Flow of a layered melt through a slit or a round channel under a given pressure gradient.
//
// The shear stress is linear across the gap, τ = g z (slit, z from the neutral plane) or τ = g r/2
// (round), so each layer's shear rate follows at once, γ̇ = (τ*/η₀) x(τ/τ*), with its own zero-shear
// viscosity η₀. Integrated by parts with no slip at the walls [BirdStewartLightfoot]:
//   slit, per width:  q = ∫ z γ̇ dz over the gap             = S g,   S = h³/(12 η) for a Newtonian
//   melt round:            Q = π ∫ r² γ̇ dr                        = C g,   C = π R⁴/(8 η)
// Within a layer η₀ is constant and the moments of x are exact (reduced_curve.hpp). A solid layer
// has 1/η₀ = 0. When the two walls differ, the neutral plane z₀ is where ∫ γ̇ dz over the gap
// vanishes.
//
// Layers: N per half gap, thinner towards the wall, where temperature and viscosity change most:
// borders at ζ = s (1 + β - β s), s = l/N. Alike walls: one column of N layers from the mid plane
// (axis) to the wall. Different walls: 2 N layers from the fixed wall to the moving wall.
#pragma once

#include <span>
#include <vector>

#include "solver/flow/reduced_curve.hpp"

namespace firstshot {

/// How the gap is divided into layers.
class GapGrid {
 public:
  GapGrid(int layers_per_half, bool walls_differ);
  int layers() const { return layers_; }
  bool walls_differ() const { return walls_differ_; }
  int columns() const { return walls_differ_ ? 2 * layers_ : layers_; }
  /// Inner border of layer l of a half gap, 0 … 1; border(N) = 1 is the wall.
  double border(int l) const { return border_[static_cast<std::size_t>(l)]; }
  /// ln ζ of the outer border of layer l of a half gap.
  double log_border(int l) const { return log_border_[static_cast<std::size_t>(l)]; }
  /// Lower border of column c: as border(c), or from -1 (fixed wall) to 1 when the walls differ.
  double column_border(int c) const { return column_border_[static_cast<std::size_t>(c)]; }
  double column_centre(int c) const { return 0.5 * (column_border(c) + column_border(c + 1)); }
  /// Share of the volume in column c of a slit or a round channel; the shares sum to 1.
  double share(int column, bool round) const;
  /// Share of the gap in layers that are no warmer than `limit`. @param temperature (n_columns)
  double share_below(std::span<const double> temperature, double limit) const;

 private:
  int layers_;
  bool walls_differ_;
  std::vector<double> border_, log_border_, column_border_;
};

/// Melt in its layers.
struct LayeredMelt {
  const ReducedCurve& curve;
  const GapGrid& grid;
  std::span<const double> inverse;  ///< 1/η₀ of each column (n_columns) [1/(Pa s)], 0 where solid
};

/// Flow per gradient and its steepness.
struct GapFlow {
  double fluidity = 0.0;   ///< S [m³/(Pa s)] of a slit, C [m⁵/(Pa s)] of a round channel
  double steepness = 1.0;  ///< d ln(flow) / d ln(gradient), 1 for Newtonian melt, 1/n for power law
};

/// @param half_gap [m] > 0 @param gradient g ≥ 0 [Pa/m]
/// @param neutral in: guess, out: better neutral plane z₀ / half gap in (-1, 1); one Newton step
/// per call
GapFlow slit_flow(const LayeredMelt& melt, double half_gap, double gradient, double& neutral);

/// @param radius [m] > 0; columns as for a slit, r in place of z
GapFlow round_flow(const LayeredMelt& melt, double radius, double gradient);

/// Where in the gap melt moves and heat is made.
struct GapProfile {
  std::vector<double> flow;  ///< share of the flow in each column (n_columns), sum 1
  std::vector<double> heat;  ///< share of the shear heating in each column, sum 1
  double shear_rate = 0.0;   ///< largest in the gap [1/s]
};
/// Fills `profile` for the given gradient; equal shares where nothing moves. Arguments as above.
void slit_profile(const LayeredMelt& melt, double half_gap, double gradient, double neutral,
                  GapProfile& profile);
void round_profile(const LayeredMelt& melt, double radius, double gradient, GapProfile& profile);

}  // namespace firstshot
