// The meshed frame of a solid with some of its gates plugged or some of its cavities blocked off;
// mesh/close_off.hpp is the same for a layout before it is meshed.
#pragma once

#include "mesh/close_off.hpp"
#include "mesh/solid/build_solid_model.hpp"

namespace firstshot {

/// What is gone from the frame, also what follows from it.
struct ClosedPieces {
  std::vector<std::string> gates, parts;
};

/// Takes plugged gates away, blocked parts with their gates, and all that melt cannot reach then.
/// Runners stay, as dead ends. The mesh of what stays is the same as before, its sides towards what
/// is gone become walls.
/// @param report of the same model; loses the gates that are gone
/// @throws Error a name that the frame does not have, or no part left
ClosedPieces close_off(Model& model, SolidReport& report, const ShutOff& shut);

}  // namespace firstshot
