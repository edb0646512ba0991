// The frame as a network of control volumes: what the fill and the heat balance are written on.
//
// Triangles: P1 finite elements, ∇·(S ∇p) with S on edges. The flow from vertex a to b is
//   Q_ab = w_ab (S_left + S_right)/2 (p_a - p_b),   w_ab = (cot α + cot β)/2 ≥ 0 on a Delaunay
//   mesh,
// so the matrix is an M-matrix even where S varies by decades: melt runs downhill along every edge,
// fill shares stay in 0 … 1, and nodes in falling order of pressure make upwind convection one
// pass. A control volume gets its Voronoi share (corner_areas) of each of its triangles. 1D
// elements add one edge each and half their volume to each end. On a sloping wall cotangents and
// areas are those of the lifted triangles.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "mesh/model.hpp"
#include "solver/numeric/subset_solver.hpp"

namespace firstshot {

/// One mesh edge's part of an edge of the network.
struct MeshFlow {
  std::int32_t edge = 0;    ///< network edge, its pair ordered as (a, b)
  double weight = 0.0;      ///< (cot α + cot β)/2 ≥ 0 [-]
  std::int32_t left = 0;    ///< triangle
  std::int32_t right = -1;  ///< triangle or -1 on a border
};

/// Neighbour of a node across an edge; `sign` is +1 when the node is the edge's first end.
struct Neighbour {
  std::int32_t node = 0;
  std::int32_t edge = 0;
  double sign = 1.0;
};

struct ControlVolumes {
  std::vector<NodePair> edges;                ///< (n_edges)
  std::vector<MeshFlow> mesh_flows;           ///< sorted by edge
  std::vector<std::int32_t> mesh_flow_start;  ///< (n_edges + 1) into mesh_flows
  std::vector<std::int32_t> line_edge;        ///< (n_lines) edge of each 1D element
  std::vector<std::int32_t> edge_line;        ///< (n_edges) 1D element of an edge or -1
  std::vector<std::int32_t> neighbour_start;  ///< (n_nodes + 1) into neighbours
  std::vector<Neighbour> neighbours;
  std::vector<double> volume;  ///< (n_nodes) [m³]
  std::vector<double>
      half_gap;  ///< (n_nodes) half gap that cools, or radius of the equivalent round [m]
  std::vector<std::uint8_t> round;  ///< (n_nodes) 1 = round column
  std::vector<double> contact;  ///< (n_nodes) column's contact with the mould over the wall's [-]
  double clamped_weight = 0.0;  ///< sum of the negative weights set to 0, relative to all weights

  std::size_t n_nodes() const { return volume.size(); }
  std::span<const Neighbour> around(std::size_t node) const {
    return {neighbours.data() + neighbour_start[node],
            neighbours.data() + neighbour_start[node + 1]};
  }
};

/// Slabs that cool like the places of the triangles, (n_triangles) each.
struct TriangleSlabs {
  std::span<const double> gap;      ///< [m]; empty: the thickness
  std::span<const double> contact;  ///< with the mould, over the wall's [-]; empty: 1
};

/// @param thermal_radius (n_lines) radius of the round channel that cools like the element's
/// section [m]
ControlVolumes control_volumes(const Model& model, std::span<const double> thermal_radius,
                               const TriangleSlabs& slabs = {});

/// Conductance of each edge [m³/(Pa s)].
/// @param fluidity (n_triangles) S [m³/(Pa s)] @param line_conductance (n_lines) C/L [m³/(Pa s)]
void edge_conductance(const ControlVolumes& volumes, std::span<const double> fluidity,
                      std::span<const double> line_conductance, std::span<double> conductance);

/// Gradients of the three hat functions of a triangle [1/m]: ∇p = Σ p_i grad[i].
struct HatGradients {
  double x[3];
  double y[3];
};
HatGradients hat_gradients(const TriMesh& mesh, TriId t);

}  // namespace firstshot
