// Weight on each side of the lines x = x₀ and y = y₀ through the injection point. Triangles and
// channels that lie across a line are cut there.
#pragma once

#include "mesh/model.hpp"

namespace firstshot {

struct SideWeights {
  double left = 0.0, right = 0.0, bottom = 0.0, top = 0.0;  ///< [kg]
  double all = 0.0;                                         ///< of the whole shot [kg]
};

/// @param density mass over volume of each place (n_nodes) [kg/m³]
SideWeights side_weights(const Model& model, const NodeField<double>& density);

}  // namespace firstshot
