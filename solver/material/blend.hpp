// What is put into the hopper: fresh material, regrind, colour concentrate.
//
//   ln(MFR/MFR_fresh) = Σ w_i ln(MFR_i/MFR_fresh)     [Nielsen1977], second-hand, ratios up to
//   about 3
//
// Viscosity is taken to fall as the melt flow rate rises. Band: between no shift and twice the
// shift in the logarithm (own judgement).
#pragma once

namespace firstshot {

enum class RegrindColour { same, natural, other };

struct Blend {
  double regrind = 0.0;                 ///< share by weight [-]
  double masterbatch = 0.0;             ///< share by weight [-]
  double regrind_flow_ratio = 1.0;      ///< melt flow rate over that of fresh material [-] > 0
  double masterbatch_flow_ratio = 1.0;  ///< the same [-] > 0
  RegrindColour colour = RegrindColour::same;
};

struct BlendFigures {
  double flow_ratio = 1.0;        ///< melt flow rate over that of fresh material [-]
  double viscosity_factor = 1.0;  ///< [-]
  double viscosity_factor_low = 1.0, viscosity_factor_high = 1.0;
  double fresh = 1.0;  ///< share by weight [-]
  /// Concentrate in the moulded part, also what regrind of the same colour brings, when a shop has
  /// gone on so for long: m/(1 - r) [-].
  double colour = 0.0;
  double foreign_colour = 0.0;  ///< share of the pigment that is of another colour [-]
};
BlendFigures blend_figures(const Blend& blend);

}  // namespace firstshot
