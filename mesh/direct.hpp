// Direction of the melt through the channels before any flow is known: away from the inlet along
// the shortest way. Along the way every node must be reached.
#pragma once

#include "mesh/model.hpp"

namespace firstshot {

/// Shortest way of the melt from the injection node to every node, through triangles' sides and 1D
/// elements [m]; infinite where there is none.
NodeField<double> flow_length(const Model& model);

/// Turns every 1D element so that it leads away from the injection, and marks narrowings: an
/// element has an entrance radius 2A/P when the largest section that leads to its start is more
/// than 2 % larger in area, or when it starts in the rim of an area.
/// @param layout what the model was made of, for messages
/// @throws GeometryError for an area or channel that the melt cannot reach.
void direct_lines(const Layout& layout, Model& model);

}  // namespace firstshot
