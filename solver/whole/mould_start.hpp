// Temperature of the moulding faces before anything has flowed, from cooling channels: the shot as
// columns of melt at melt temperature, the cycle that they need, and the mould that they warm,
// repeated until both agree. The run with these temperatures ends with a balance of its own
// (assess/cycle), which tells how far off this start was.
#pragma once

#include "solver/setup.hpp"

namespace firstshot {

struct MouldSurfaces {
  double fixed = 0.0, moving = 0.0;  ///< mean over the cycle [K]
  double cycle = 0.0;                ///< that goes with them [s]
};

/// @param setup with mould.fixed and mould.moving @throws Error when the faces come so near to the
/// ejection temperature that nothing could be ejected
MouldSurfaces mould_surfaces(const Setup& setup);

}  // namespace firstshot
