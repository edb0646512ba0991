// Triangles that are Delaunay in the plane are obtuse on a steep wall, and edges get negative
// weights that the solver leaves out: a wall tilted by 60° took 12 % too little pressure. Here
// sides are flipped until the mesh is Delaunay on the wall: the cotangents of the two angles
// opposite to each side, measured with the slopes of its triangles, sum to no less than 0.
#pragma once

#include <functional>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// Flips sides between triangles of one region where their slopes ask for it; triangles keep their
/// number, so that a flipped one covers another place. Points stay.
/// @param mesh with slopes; those of flipped triangles are the mean of the two before
/// @param fixed sides that must stay
/// @returns number of sides flipped
std::size_t flip_on_walls(TriMesh& mesh, const std::function<bool(VertexId, VertexId)>& fixed);

}  // namespace firstshot
