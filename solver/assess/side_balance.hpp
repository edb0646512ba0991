// What imbalance does while the mould fills: how the other side of the injection point fares when
// one side is full, and how far early parts are packed while late ones still fill.
//
// Flow into a side: volume of its control volumes by their arrival times (half full) and the times
// they were full, linear in between. A part belongs to a side with at least 90 % of its volume.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/assess/balance_figures.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

/// Of two opposite sides the one that was full first, and what changed for the other.
struct SideChange {
  Side first = Side::left, second = Side::right;
  double time = 0.0;    ///< when the first side was full [s]
  double window = 0.0;  ///< before and after are taken over this time [s]
  double pressure_before = 0.0, pressure_after = 0.0;  ///< at the injection point [Pa]
  double flow_before = 0.0, flow_after = 0.0;          ///< into parts of the second side [m³/s]
};

/// Left against right, then top against bottom; a pair is left out when a side has no part, when
/// one side never fills, or when both are full within 1 % of the time.
std::vector<SideChange> side_changes(const Setup& setup, const State& state,
                                     const std::vector<HistoryEntry>& history);

/// How far the melt of a part is compressed when the pressure at the injection point is highest in
/// filling: mass in excess of the same volume without pressure, v(T, 0)/v(T, p) - 1, by the Tait
/// law of the card at melt temperature.
struct PartPacking {
  std::int32_t region = 0;
  double pressure = 0.0;  ///< mean over its volume [Pa]
  double extra = 0.0;     ///< mean over its volume [-]
};
/// One entry per region with role part, in their order.
std::vector<PartPacking> part_packing(const Setup& setup, const State& state);

}  // namespace firstshot
