// The way of the melt to the place of each part that was full last: how long, how long against the
// thickness of what it went through, and where along it the pressure was spent.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/stage/state.hpp"

namespace firstshot {

struct FlowPath {
  std::int32_t region = 0;
  Point end;                           ///< [m]
  double length = 0.0;                 ///< from the injection point [m]
  double length_over_thickness = 0.0;  ///< ∫ ds / thickness; channels: depth [-]
  /// Pressure lost on the way in each role when the pressure at the injection point was highest in
  /// filling, and what the air at its end pressed back with [Pa]; together they are that pressure.
  double sprue = 0.0, runners = 0.0, gates = 0.0, parts = 0.0, air = 0.0;
};

/// One path per region with role part that melt has reached, in their order. The place that
/// was full last is its end; of a part that is not full, the place that melt reached last.
std::vector<FlowPath> flow_paths(const Setup& setup, const State& state);

/// How far the pressure at the injection point rises beyond its trend when the first part is full:
/// the rise from one `window` of time before to one after it (its last volumes already fill slower)
/// less what the window before that lets expect [Pa]. Nothing when the history is too short on
/// either side.
std::optional<double> pressure_jump(const std::vector<HistoryEntry>& history, double time,
                                    double window);

}  // namespace firstshot
