// What the process window takes from the summary.json of a run: the class of its shot, and the
// loads that its edges are found by.
//
//   too_cold       not full, and the largest rest froze off (short_shots: freezing, gate_frozen)
//   short          not full for any other reason: pressure, air, time
//   over_pressure  full, but above limits.pressure_share of the pressure that the press is set to
//   over_clamp     full, but above limits.clamp_share of the clamp force
//   scorch         full, but caught air gets hot enough to scorch
//   fills          none of these
//
// The limits are those of the verdict, so that map and report of a run agree.
#pragma once

#include <string>

#include "solver/whole/process_window.hpp"

namespace firstshot {

struct JudgedShot {
  WindowShot shot;      ///< at (0, 0); loads in MPa, kN, degC
  double filled = 0.0;  ///< share of the volume [-]
  std::string stop;     ///< first finding of severity stop in the words of the verdict, or empty
};

/// @param summary text of summary.json @throws Error when it is none
JudgedShot judged_shot(const std::string& summary);

}  // namespace firstshot
