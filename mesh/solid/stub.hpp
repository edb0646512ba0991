// Short runners between a gate and a wider channel: too short for sections along the way of the
// melt (narrowings.hpp) to settle in them, so they are measured from the gate backwards.
#pragma once

#include <optional>

#include "mesh/solid/roles.hpp"

namespace firstshot {

struct Stub {
  Cut start, end;                 ///< at the wider channel, at the gate
  double length = 0.0;            ///< [m]
  double hydraulic_radius = 0.0;  ///< 2A/P [m]
};

/// Walks from a gate against the flow while the section stays within 1.3 times what it is behind
/// the gate.
/// @returns nothing where no channel opens into one of a section that is larger by 8 % or more
std::optional<Stub> stub_before(const RoleInput& in, const GateShape& gate);

}  // namespace firstshot
