// Where compressed air leaves the mould shot after shot: the stretches of shut-off that soot and
// wear will show on first. A relative ranking: what a stretch of metal stands is not known, so only
// the ratios between stretches mean something.
//
// The energy at a stretch is that of the gas that left over it in one shot: its heat above the
// walls', and the work that it can do on expanding (flow/air_pockets).
#pragma once

#include <string>
#include <vector>

#include "solver/stage/state.hpp"

namespace firstshot {

struct ShutOffStretch {
  std::string place;        ///< part, channel or ejector pin
  Point at;                 ///< where most of the energy leaves [m]
  double length = 0.0;      ///< [m]
  double energy = 0.0;      ///< of one shot [J]
  double per_length = 0.0;  ///< energy/length [J/m]
  double share = 0.0;       ///< of the energy of all stretches [-]
};

/// Stretches of about `stretch_length` along outer rims and channels, and each ejector pin; those
/// over which compressed air left, the highest energy per length first.
std::vector<ShutOffStretch> scorch_ranking(const Setup& setup, const State& state);

inline constexpr double stretch_length = 5e-3;  ///< [m]; a soot mark's size, own judgement
/// Shots over which the energy is added up; a mould lives for this many and more (common practice,
/// no source).
inline constexpr double shots_of_a_life = 1e5;
inline constexpr const char* scorch_note =
    "A relative ranking: compare stretches with each other; how much energy a stretch of metal "
    "stands before soot and wear show is not known.";

}  // namespace firstshot
