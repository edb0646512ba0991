// Triangles over the parting plane. Geometry only: no thickness, no physics. All lengths in m.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "mesh/field.hpp"

namespace firstshot {

struct Point {
  double x = 0.0;  ///< [m]
  double y = 0.0;  ///< [m]
  bool operator==(const Point&) const = default;
};

/// Corners in counter-clockwise order.
using Triangle = std::array<VertexId, 3>;

struct TriMesh {
  VertexField<Point> points;      ///< (n_vertices) [m]
  TriField<Triangle> triangles;   ///< (n_triangles)
  TriField<std::int32_t> region;  ///< (n_triangles) index into Model::regions
  /// Slope (∂z/∂x, ∂z/∂y) of the wall's middle in each triangle (n_triangles) [-]; empty where all
  /// lies flat.
  TriField<Point> slope;
};

/// An edge of the mesh with its two triangles (one only on a border) and the corners opposite.
struct MeshEdge {
  VertexId a{}, b{};
  TriId left{-1};   ///< triangle on the left of a → b, always set
  TriId right{-1};  ///< triangle on the right, TriId{-1} on a border of the mesh
};

/// All edges, each once, in an order that depends on the triangles only.
std::vector<MeshEdge> mesh_edges(const TriMesh& mesh);

/// Area of a triangle in the plane [m²], positive for counter-clockwise corners.
double area(const TriMesh& mesh, TriId t);

/// Cotangents of the three corner angles, in the order of the corners.
std::array<double, 3> corner_cotangents(const TriMesh& mesh, TriId t);

/// Areas of a triangle that belong to its corners [m²], in their order, sum = area: the Voronoi
/// share (nearer to this corner than to the others); in an obtuse triangle half to the obtuse
/// corner, a quarter to each other [MeyerDesbrunSchroederBarr2003]. Goes with the cotangent
/// weights: thirds would put heat and melt off locally.
std::array<double, 3> corner_areas(const TriMesh& mesh, TriId t);

/// Length on the sloping wall per length in the plane, along the slope: √(1 + |slope|²) ≥ 1; also
/// the ratio of the areas.
double rise(const TriMesh& mesh, TriId t);
/// Area on the sloping wall [m²]; what the three functions above give on a flat one.
double lifted_area(const TriMesh& mesh, TriId t);
std::array<double, 3> lifted_cotangents(const TriMesh& mesh, TriId t);
std::array<double, 3> lifted_corner_areas(const TriMesh& mesh, TriId t);

/// Figures by which a mesh is judged.
struct MeshQuality {
  double min_angle_deg = 0.0;       ///< smallest corner angle
  double mean_min_angle_deg = 0.0;  ///< mean over triangles of their smallest angle
  double min_edge = 0.0;            ///< [m]
  double max_edge = 0.0;            ///< [m]
  /// Edges with a negative cotangent weight: inside, the two opposite angles sum to more than 180°;
  /// on a border, the one opposite angle is more than 90°.
  int non_delaunay_edges = 0;
};
MeshQuality quality(const TriMesh& mesh);

}  // namespace firstshot
