// Mouths: the finite places where a channel or the press feeds triangles. All mesh vertices in a
// mouth become one node.
#pragma once

#include <optional>
#include <vector>

#include "mesh/borders.hpp"
#include "mesh/plane.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// A stretch of rim, or a disc inside an area.
struct Mouth {
  Point centre;  ///< [m]
  std::vector<std::array<Point, 2>>
      sides;                ///< the stretch of rim, side by side; empty for a disc [m]
  std::vector<Point> disc;  ///< rim of the disc as a polygon; empty for a stretch [m]
  double size = 0.0;        ///< wanted edge length along it [m]
  int area = -1;            ///< area whose rim it is on
};

/// Nearest place on the rim of an area.
struct RimPlace {
  int loop = -1;          ///< index into Borders::loops, -1 when there is no area
  int position = 0;       ///< side points[position] → points[position + 1] of that loop
  Point at;               ///< [m]
  double distance = 0.0;  ///< from the asked point [m]
};
RimPlace nearest_rim(const Borders& borders, Point p);

/// Cuts the stretch of `width` along the rim, centred at the place and led around corners, into at
/// least n sides, and marks its ends in the graph.
/// @throws GeometryError when the whole rim is shorter than the width.
Mouth cut_rim_mouth(Borders& borders, const RimPlace& place, double width, int n,
                    const std::string& entry);

/// Vertices of the mesh that lie in the mouth, in rising order.
std::vector<VertexId> vertices_in(const Mouth& mouth, const TriMesh& mesh);

/// Whether the place lies on the stretch of rim of this mouth.
bool lies_on_stretch(const Mouth& mouth, Point p);

}  // namespace firstshot
