// Where air can leave the mould: vents, each on the control volumes along its stretch of rim, the
// gap of the parting line along outer rims and along both sides of channels, and the gaps around
// ejector pins (pin_gaps.hpp).
//
// The rim of a hole leaks into a shut-off face that is closed all around, so nothing leaves there
// unless a vent is cut. The sprue stands across the parting line and leaks nothing.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solver/setup.hpp"

namespace firstshot {

struct AirOutlets {
  /// Depth and land of a kind of slit; kind 0 is the parting line, then come the vents in
  /// their order, then the pins in theirs.
  struct Kind {
    double depth = 0.0;  ///< [m]
    double land = 0.0;   ///< [m]
  };
  struct Slit {
    std::int32_t kind = 0;
    double width = 0.0;  ///< [m]
  };
  std::vector<Kind> kinds;
  std::vector<std::int32_t> start;  ///< (n_nodes + 1) into slits
  std::vector<Slit> slits;          ///< sorted by node, then kind

  std::span<const Slit> of(std::size_t node) const {
    return {slits.data() + start[node], slits.data() + start[node + 1]};
  }
};

/// Farthest a vent may lie from the rim or runner end that it is meant for [m].
inline constexpr double vent_reach = 0.5e-3;

/// @throws GeometryError with the place for a vent where there is no rim or runner end, one whose
/// line has its ends on different rims, one wider than its rim or line, one deeper than the part,
/// and numbers that are not positive; as pin_arcs.
AirOutlets air_outlets(const Setup& setup);

/// Blind ends of channels, where one element ends and nothing else: nodes, rising.
std::vector<std::size_t> runner_ends(const Model& model);

/// Length of outer rim (or of both sides of a channel) that belongs to each node (n_nodes) [m].
std::vector<double> parting_line_length(const Model& model);

/// Length of shut-off over which air can leave at each node: outer rim, both sides of channels, rim
/// of pins; where there is none of these, the width of vents in a hole (n_nodes) [m].
std::vector<double> shut_off_length(const Setup& setup);

}  // namespace firstshot
