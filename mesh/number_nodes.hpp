// One numbering of control volumes over triangles and channels.
#pragma once

#include <vector>

#include "mesh/model.hpp"
#include "mesh/mouth.hpp"
#include "mesh/runner_network.hpp"

namespace firstshot {

/// Numbers the nodes of a model that has its triangles: first the vertices, all of one mouth the
/// same, then the points of the network. Adds channels and 1D elements, sets the injection (which
/// must be at a point of the network) and finds the open sides.
/// @throws GeometryError for a mouth without vertices.
void number_nodes(const std::vector<Mouth>& mouths, const RunnerNetwork& network, Model& model);

}  // namespace firstshot
