// Border graph + wanted edge length → triangles: constrained Delaunay refinement, then smoothing.
//
// Every border of the graph is made of sides of triangles, so no triangle lies in two areas or two
// thicknesses. Angles are at least about 28° where the drawing's own corners allow it. Where
// refinement to 28° does not come to an end, the bound is 20.7°, the largest for which the method
// is guaranteed to end (manual of CGAL, class Delaunay_mesh_criteria_2). Every edge has a cotangent
// weight that is not negative: no angle opposite to a border is obtuse.
#pragma once

#include <functional>

#include "mesh/borders.hpp"
#include "mesh/pieces.hpp"
#include "mesh/size_field.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot {

struct Triangulation {
  TriMesh mesh;                ///< regions are indices into Layout::areas
  TriField<double> thickness;  ///< (n_triangles) [m]
};

/// Which area and thickness a place well inside a piece belongs to.
using PieceAt = std::function<Piece(Point)>;

/// Same input, same bits. @throws GeometryError for overlaps (from PieceFinder), or when refinement
/// does not come to an end.
Triangulation triangulate(const Borders& borders, const PieceFinder& pieces,
                          const SizeField& field);
Triangulation triangulate(const Borders& borders, const PieceAt& piece_at, const SizeField& field);

}  // namespace firstshot
