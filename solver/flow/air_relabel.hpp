// Which pocket each control volume's gas belongs to, found anew at the start of a step: connected
// regions of control volumes that are not full. Regions of the last step that came apart share
// their gas by volume (they had one pressure), regions that met add up.
//
// A piece that comes off a much larger pocket and holds a single control volume, or less than the
// smallest pocket of the case, is below what the mesh can tell from the roughness of a front: its
// gas is counted as carried along in the melt. A pocket that shrinks, however far, keeps its gas.
#pragma once

#include <span>

#include "solver/flow/air_state.hpp"
#include "solver/flow/control_volumes.hpp"

namespace firstshot {

struct RelabelRules {
  double smallest_pocket = 0.0;  ///< [m³], 0 = keep every piece
  double room_pressure = 0.0;    ///< absolute [Pa]
  double gas_constant = 0.0;     ///< [J/(kg K)]
};

/// @param fill shares (n_nodes) @param time of the step's start [s]
void relabel(const ControlVolumes& volumes, std::span<const double> fill, double time,
             const RelabelRules& rules, AirState& air);

}  // namespace firstshot
