// The wall and the region at each node of the pressure mesh: the mean thickness of its triangles
// by area, and the region of the last of them.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

struct NodeWalls {
  std::vector<double> wall;          ///< (n_nodes) [m], 0 where there is no triangle
  std::vector<std::int32_t> region;  ///< (n_nodes), -1 where there is no triangle
};

NodeWalls node_walls(const Model& model);

}  // namespace firstshot
