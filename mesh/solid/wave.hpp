// Length of the way through a part of the mesh: how far a wave that starts at given vertices has
// run when it reaches each vertex, |∇way| = 1.
//
// Fast marching: vertices in rising order of way, each from the plane wave through the two other
// corners of a triangle, or along an edge where that wave does not come through the triangle
// (Kimmel and Sethian 1998, from memory). On obtuse triangles somewhat too long.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

struct Wave {
  std::vector<double> way;  ///< (n_vertices) [m]; infinite where it does not come
  std::vector<std::int32_t>
      from;  ///< (n_vertices) neighbour it came by, of smaller way; -1 at start
};

/// @param inside (n_triangles) 1 where the wave runs @param start vertices of way 0
Wave run_wave(const TriMesh& mesh, std::span<const std::uint8_t> inside,
              std::span<const VertexId> start);

}  // namespace firstshot
