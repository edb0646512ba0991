// The rims of the meshed areas as closed lines of sides that have a triangle on one side only:
// outlines and holes. Where vents are cut and where the parting line leaks.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

/// One closed rim, the mesh on its left.
struct RimLoop {
  std::vector<VertexId> vertices;  ///< (n), side k runs from vertex k to vertex k + 1 (cyclic)
  std::vector<double> at;          ///< (n + 1) length along the loop up to each vertex [m]
  bool outer = true;               ///< false: around a hole of one part

  double length() const { return at.back(); }
};

/// All rims, in an order that depends on the triangles only.
std::vector<RimLoop> rim_loops(const TriMesh& mesh);

/// The same of a frame. A rim inside the frame that runs along a runner, a gate or several parts,
/// as in a solid of the whole shot, encloses a piece of the mould between cavities and no hole:
/// outer.
std::vector<RimLoop> rim_loops(const Model& model);

/// The nearest place on any rim.
struct RimPlace {
  std::size_t loop = 0;
  double at = 0.0;        ///< length along the loop [m]
  double distance = 0.0;  ///< from the given point [m]
};
/// Empty when there are no rims.
std::optional<RimPlace> nearest_rim(const TriMesh& mesh, const std::vector<RimLoop>& loops,
                                    const Point& point);

}  // namespace firstshot
