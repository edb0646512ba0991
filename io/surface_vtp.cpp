#include "io/surface_vtp.hpp"

#include <cmath>
#include <limits>
#include <vector>

#include <vtkCellArray.h>
#include <vtkDataArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>

#include "io/solid_file.hpp"
#include "io/vtk_parts.hpp"
#include "mesh/nearest_node.hpp"
#include "mesh/plane.hpp"
#include "mesh/solid/divide_shell.hpp"

namespace firstshot {
namespace {

constexpr double sides_per_element = 1.5;          // of the surface, per element size
constexpr std::size_t most_triangles = 2'000'000;  // a viewer still turns them smoothly

/// How far from its place each node stands for what is around it: to the other end of its sides, or
/// over its channel [m].
NodeField<double> reach_of_nodes(const Model& model) {
  NodeField<double> reach(model.n_nodes(), 0.0);
  const auto raise = [&](NodeId n, double length) { reach[n] = std::max(reach[n], length); };
  for (const MeshEdge& e : mesh_edges(model.mesh)) {
    const double side = distance(model.mesh.points[e.a], model.mesh.points[e.b]);
    for (const VertexId v : {e.a, e.b}) {
      const Point3& at = model.position[model.node_of_vertex[v]];
      raise(model.node_of_vertex[v], side + distance(model.mesh.points[v], {at.x, at.y}));
    }
  }
  for (const LineElement& line : model.lines.span())
    for (const NodeId n : {line.from, line.to})
      raise(n, line.length + std::max(width(line.start), width(line.end)));
  return reach;
}

/// Of a frame with pieces closed off, the surface of what is gone has no values.
void blank(vtkPointData& data, const std::vector<std::uint8_t>& gone) {
  for (int k = 0; k < data.GetNumberOfArrays(); ++k)
    for (std::size_t i = 0; i < gone.size(); ++i)
      if (gone[i] != 0)
        data.GetArray(k)->SetTuple1(static_cast<vtkIdType>(i),
                                    std::numeric_limits<double>::quiet_NaN());
}

}  // namespace

std::string surface_vtp(const BuiltSetup& built, const NodeFields& fields) {
  const SolidFile& solid = *built.resolved.solid->read;
  const double longest = sides_per_element * built.resolved.accuracy.element_size.value();
  const Shell surface = divided_shell(solid.shell, longest, most_triangles);
  const NearestNode nearest(built.setup.model);
  const double unit = unit_length(built.resolved), scale = cavity_scale(built.resolved);

  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  const NodeField<double> reach = reach_of_nodes(built.setup.model);
  std::vector<NodeId> nodes;
  std::vector<std::uint8_t> gone;
  nodes.reserve(surface.points.size());
  for (const Point3& p : surface.points) {
    const Point3 in_cavity = {scale * p.x, scale * p.y, scale * p.z};
    points->InsertNextPoint(in_cavity.x / unit, in_cavity.y / unit, in_cavity.z / unit);
    const Point3 at = built.solid->frame.into(in_cavity);
    nodes.push_back(nearest.of(at));
    const Point3& node = built.setup.model.position[nodes.back()];
    gone.push_back(std::hypot(at.x - node.x, at.y - node.y) > reach[nodes.back()] ? 1 : 0);
  }
  vtkNew<vtkCellArray> cells;
  cells->Use32BitStorage();
  for (const auto& t : surface.triangles) cells->InsertNextCell({t[0], t[1], t[2]});
  vtkNew<vtkPolyData> data;
  data->SetPoints(points);
  data->SetPolys(cells);
  add_point_fields(*data->GetPointData(), fields, nodes);
  const ShutOff& closed = built.resolved.closed;
  if (!closed.gates.empty() || !closed.parts.empty()) blank(*data->GetPointData(), gone);
  return vtk_text(*data);
}

}  // namespace firstshot
