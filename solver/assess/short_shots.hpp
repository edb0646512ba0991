// Why a part stayed short, and what would have filled it.
//
// Causes, in the order in which they are tried for a part:
//   air          the gas in its unfilled rest has at least half the pressure of the melt beside it
//   freezing     more than half of the gap is frozen where melt borders on the rest: too slow. When
//                the press was at its pressure limit before half of the front there had a solid
//                core, it could not be faster: pressure. A limit that acts later is no cause,
//                frozen melt itself drives the pressure up.
//   gate_frozen  melt there still flows, but every gate of the part is frozen over nine tenths of
//                its gap
//   time, interrupted  the run ended before anything else did
//   pressure     none of these: the pressure limit
// The shares are own choices; at the end of a run they are near 0 or 1.
//
// Estimates, from a strip in which the pressure falls evenly and melt of the same age freezes: a
// part full to φ with the pressure p at its fullest place needs p (1/φ - 1) more; one that froze
// needs 1/φ times the speed. Nothing is estimated for a part that is less than a tenth full.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "solver/stage/state.hpp"

namespace firstshot {

enum class ShortCause { pressure, freezing, gate_frozen, air, time, interrupted };
/// Short name for scripts, "gate_frozen".
const char* short_cause_name(ShortCause cause);
/// The cause in the words of the shop, "its gates freeze before it is full".
const char* short_cause_words(ShortCause cause);

struct ShortShot {
  std::string part;
  double unfilled = 0.0;  ///< [m³]
  ShortCause cause = ShortCause::pressure;
  std::optional<double> pressure_needed;  ///< at the injection point, estimate [Pa]
  std::optional<double> speed_needed;     ///< in multiples of the present one, estimate [-]
  Point at;                               ///< middle of the unfilled rest [m]
};

/// A region that is not full.
struct UnfilledRegion {
  std::int32_t region = 0;
  double volume = 0.0;           ///< when full [m³]
  double filled_fraction = 0.0;  ///< [-]
};

/// @param history of the whole run: when the press was at its limit
std::vector<ShortShot> short_shots(const Setup& setup, const State& state,
                                   const std::vector<HistoryEntry>& history, Outcome outcome,
                                   std::span<const UnfilledRegion> regions);

}  // namespace firstshot
