// What drives warp, ranked. Warp itself is not modelled: it needs stresses, stiffness and creep of
// the whole part. Every driver is told as a difference of linear shrinkage that has to find room
// somewhere, so that they can be compared:
//
//   uneven shrinkage  free linear shrinkage of the places of one part, 5 to 95 % of its area
//                     (what each layer had at its frozen-in pressure, assess/hold_figures)
//   uneven cooling    α (T_max - T_min) of the means over the gap when the mould opens
//   one-sided cooling α (T_fixed - T_moving) of the halves of the gap when the mould opens; bends
//
// α: linear expansion of the glass from the card's equation of state, b2s/(3 b1s). A part that is
// flat, thin and long warps most for the same figure.
#pragma once

#include <string>
#include <vector>

#include "solver/assess/cycle.hpp"

namespace firstshot {

enum class WarpCause { uneven_shrinkage, uneven_cooling, one_sided_cooling };

struct WarpDriver {
  std::string part;
  WarpCause cause = WarpCause::uneven_shrinkage;
  double strain = 0.0;  ///< difference of linear shrinkage [-]
};

/// Largest first. Uneven shrinkage only of a cavity that was held.
std::vector<WarpDriver> warp_drivers(const Setup& setup, const State& state,
                                     const CycleResult& cycle);

}  // namespace firstshot
