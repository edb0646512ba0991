// Triangles with neighbours, as the mesher leaves them: smoothed by moving free vertices and
// flipping sides until the triangulation is Delaunay again. Sides marked fixed are never flipped
// and no vertex on them is moved.
//
// Kept throughout: the angle opposite to a fixed side is at most 90°, and the two angles opposite
// to any other side sum to at most 180°. So every edge has a cotangent weight that is not negative.
#pragma once

#include <array>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

struct FlipMesh {
  std::vector<Point> points;                  ///< (n_vertices) [m]
  std::vector<std::array<int, 3>> corners;    ///< (n_triangles) counter-clockwise
  std::vector<std::array<int, 3>> neighbour;  ///< across the side opposite to each corner, -1 none
  std::vector<std::array<bool, 3>> fixed;     ///< whether that side is a border
};

/// Moves free vertices towards the mean of their neighbours where that widens the smallest angle
/// around them; `sweeps` times over all. The input must be Delaunay with no obtuse angle opposite
/// to a fixed side. Returns the input when that property could not be kept.
FlipMesh smoothed(const FlipMesh& mesh, int sweeps);

/// Parts of the mesh between fixed sides: a number from 0 for each triangle.
std::vector<int> connected_pieces(const FlipMesh& mesh);

/// Vertices renumbered along a space-filling curve and triangles by their smallest vertex, so that
/// neighbours are close in memory. The order depends on the places alone.
FlipMesh ordered_along_curve(const FlipMesh& mesh);

}  // namespace firstshot
