#include "solver/material/blend.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {

BlendFigures blend_figures(const Blend& b) {
  BlendFigures f;
  const double shift = b.regrind * std::log(b.regrind_flow_ratio) +
                       b.masterbatch * std::log(b.masterbatch_flow_ratio);
  f.flow_ratio = std::exp(shift);
  f.viscosity_factor = std::exp(-shift);
  f.viscosity_factor_low = std::exp(std::min(-2.0 * shift, 0.0));
  f.viscosity_factor_high = std::exp(std::max(-2.0 * shift, 0.0));
  f.fresh = 1.0 - b.regrind - b.masterbatch;
  f.colour = b.masterbatch;
  if (b.masterbatch <= 0.0) return f;
  if (b.colour == RegrindColour::same && b.regrind < 1.0)
    f.colour = b.masterbatch / (1.0 - b.regrind);
  // Regrind of another colour carries the usual concentrate of its own.
  if (b.colour == RegrindColour::other) f.foreign_colour = b.regrind / (1.0 + b.regrind);
  return f;
}

}  // namespace firstshot
