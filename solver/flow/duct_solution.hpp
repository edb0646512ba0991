// Fully developed flow of a power-law melt through a straight channel of any runner section, and
// the slowest way in which the section cools through its walls.
//
// Flow:    -∇·(|∇w|^(n-1) ∇w) = 1 in the section, w = 0 on its outline (all sides are steel).
// Cooling: -∇²θ = λ θ, θ = 0 on the outline; λ1 is the smallest λ.
//
// Solved with nine-node quadratic elements on a mapped grid that is finer towards the walls; the
// power law by Newton's method on the (convex) energy ∫ |∇w|^(n+1)/(n+1) - w, going from n = 1
// downwards. The kink at zero shear rate is rounded off at 1e-4 of the mean shear rate.
#pragma once

#include <array>

#include "mesh/section.hpp"

namespace firstshot {

/// Flow indices n at which ducts are solved, falling.
inline constexpr std::array<double, 6> duct_flow_indices = {1.0, 0.75, 0.5, 0.35, 0.25, 0.15};

struct DuctSolution {
  /// b + a/n in τ_w = G D_h/4 = K (8V/D_h (b + a/n))^n at each of duct_flow_indices [-]. G:
  /// pressure gradient, D_h: hydraulic diameter, V: mean velocity (form of Kozicki, Chou & Tiu
  /// [Kozicki1966]).
  std::array<double, duct_flow_indices.size()> shape{};
  double eigenvalue = 0.0;  ///< λ1 [1/m²]
};

/// @param section any kind, measures > 0; wide and narrow sections up to 1000 : 1
/// @param fineness multiplies the number of elements per direction (for tests of convergence)
/// Throws Error when the section has no area or the iteration fails.
DuctSolution solve_duct(const Section& section, double fineness = 1.0);

}  // namespace firstshot
