// Isothermal flow of any viscosity law through a capillary and a slit at a given wall stress, and
// from it the melt flow rate that a law predicts for the standard instrument.
//
//   capillary  Q = π R³/τ_w³ ∫ τ² γ̇ dτ,  slit  Q = w h²/(2 τ_w²) ∫ τ γ̇ dτ   over 0 … τ_w
//   (Rabinowitsch & Weissenberg, see [BirdStewartLightfoot]); no slip, pressure without effect on
//   viscosity.
//
// Melt flow rate [ISO1133] at 200 °C and 5 kg: die 8.000 mm long, 2.095 mm bore; barrel bore 9.550
// mm, piston head 9.474 mm (from memory, high confidence, unconfirmed). Die length over radius is
// only 7.6, so that the entrance loss counts: the die acts as if longer by e radii, e = 2 to 5 for
// polystyrene (from memory, unconfirmed), taken as 3 with a band from 2 to 4 [Bagley1957].
#pragma once

#include "solver/material/material.hpp"

namespace firstshot {

/// Shear rate [1/s] at which a law gives the stress [Pa] > 0, at T [K] and zero pressure.
double shear_rate_at_stress(const ViscosityLaw& law, double temperature, double stress);

/// Flow rate [m³/s] through a round capillary of radius [m] at wall stress [Pa] > 0 and T [K].
double capillary_flow_rate(const ViscosityLaw& law, double temperature, double radius,
                           double wall_stress);

/// Size of a slit without side walls [m].
struct Slit {
  double width = 0.0, thickness = 0.0;
};
/// Flow rate [m³/s] through a slit at wall stress [Pa] > 0 and T [K].
double slit_flow_rate(const ViscosityLaw& law, double temperature, const Slit& slit,
                      double wall_stress);

/// Melt flow rate [g/10 min] at 200 °C / 5 kg.
/// @param density of the melt at 200 °C [kg/m³] @param end_correction e [radii] ≥ 0
double melt_flow_rate(const ViscosityLaw& law, double density, double end_correction);

/// Predicted melt flow rate [g/10 min] with e = 3, and the band from e = 4 to e = 2.
struct MeltFlowRate {
  double value = 0.0, low = 0.0, high = 0.0;
};
MeltFlowRate predicted_melt_flow_rate(const Material& material);

}  // namespace firstshot
