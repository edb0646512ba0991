// The frame as the solver sees it: triangles with thickness, 1D elements for channels given as
// lines, and one numbering of control volumes ("nodes") over both. Built once, checked, then const.
// SI units.
//
// Joints. Where a channel meets triangles it does so over a mouth of finite size: the mesh vertices
// along the gate's width (or inside the foot of a sprue) share one node, so they have one pressure
// and one temperature column. A point source would give a pressure that grows like ln(1/element); a
// mouth of given size has a limit under refinement.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "mesh/field.hpp"
#include "mesh/layout.hpp"
#include "mesh/section.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot {

struct Point3 {
  double x = 0.0, y = 0.0, z = 0.0;  ///< [m], z along the draw, towards the nozzle
};

/// A named piece meshed with triangles.
struct Region {
  std::string name;
  Role role = Role::part;
  bool visible = false;
};

/// A named channel given as a line; its elements carry its index.
struct Channel {
  std::string name;
  Role role = Role::runner;
  std::int32_t feeds = -1;  ///< region at the mouth of a gate, -1 where it feeds none
};

/// 1D element from node `from` to node `to`, directed away from the injection point.
struct LineElement {
  NodeId from{}, to{};
  double length = 0.0;  ///< [m]; at a joint without what lies inside a wider channel
  Section start, end;   ///< at `from` and at `to`, same kind
  std::int32_t channel = 0;
  /// Hydraulic radius 2A/P [m] of this element's start section when the melt enters it from a
  /// larger section (the place of an entrance loss), otherwise 0.
  double entrance_radius = 0.0;
};

/// Both surfaces over a triangle, seen from within it: at its corners, then at the middles of the
/// sides 0-1, 1-2, 2-0.
struct Relief {
  std::array<double, 6> chord{};   ///< length of the melt along the draw [m] ≥ 0
  std::array<double, 6> middle{};  ///< height of the middle between the surfaces [m]
};

struct Model {
  TriMesh mesh;
  /// Full gap, square to the wall (n_triangles) [m]: mean chord along the draw / rise of the mesh,
  /// so that lifted area times thickness is the volume.
  TriField<double> thickness;
  TriField<Relief> relief;           ///< (n_triangles) of a solid; empty for a layout
  VertexField<double> lower, upper;  ///< surfaces of a solid (n_vertices) [m]; empty for a layout
  std::vector<Region> regions;
  /// Entrance losses of a solid: hydraulic radii 2A/P of a narrowing per length over which they are
  /// laid (n_triangles) [-]; empty for a layout, whose lines carry them.
  TriField<double> entrance;
  std::vector<Channel> channels;
  LineField<LineElement> lines;        ///< (n_lines)
  VertexField<NodeId> node_of_vertex;  ///< (n_vertices)
  NodeField<Point3> position;          ///< (n_nodes) [m], vertices at z = 0
  NodeId injection{};                  ///< where the melt enters
  /// Sides of triangles that are no walls (open mouths of gates): pairs of vertices. No side-wall
  /// drag there.
  std::vector<std::array<VertexId, 2>> open_sides;

  std::size_t n_nodes() const { return position.size(); }
};

/// All lengths of the frame times `factor` > 0: its places, thicknesses, heights and sections.
void scale(Model& model, double factor);

/// Volume of each region [m³], in the order of `regions`.
std::vector<double> region_volumes(const Model& model);
/// Volume of each channel [m³], in the order of `channels`.
std::vector<double> channel_volumes(const Model& model);
/// Area of everything that pushes the mould open: triangles and channels seen along the draw, and
/// the foot of a sprue that stands on runners [m²]. Where channels overlap at a joint, the overlap
/// counts twice.
double projected_area(const Model& model);
/// Volume of a 1D element between its two sections [m³] (Simpson over the length).
double volume(const LineElement& line);

}  // namespace firstshot
