// When the melt front passes, to a part of a step.
//
// A step of the front is two or three rings of elements long and its equations tell only what is
// full at its end. The flow along each edge then tells the order inside: the melt q Δt that went
// from j to i in the step ran evenly from the moment j was full to the end of the step, so i has
//
//   Σ_j q_ij Δt (t - t_j)/(Δt - t_j)    (t > t_j; t_j = 0 where j was full before)
//
// at t. Nodes in falling order of pressure need one pass. Exact for a strip at constant flow with
// any step; without it every place that fills in one step passed half-full in its middle, wherever
// it lies.
#pragma once

#include <span>

#include "solver/flow/control_volumes.hpp"

namespace firstshot {

/// A step that has been solved; all spans (n_nodes), but flux (n_edges) from first to second end.
struct FrontPassage {
  double begin = 0.0, dt = 0.0;                     ///< [s]
  std::span<const double> fill_before, fill_after;  ///< [-]
  std::span<const double> pressure, flux;           ///< [Pa], [m³/s]
  std::size_t inlet = 0;
  double inlet_flow = 0.0;  ///< [m³/s]
};

/// Sets the times [s] at which control volumes became half full and full in this step.
/// @param arrival, full (n_nodes), -1 where not yet; what is set already stays, but a volume that
/// was drained and filled again is full at the later time
void note_front_times(const ControlVolumes& volumes, const FrontPassage& step,
                      std::span<double> arrival, std::span<double> full);

}  // namespace firstshot
