#include "io/surface_vtp.hpp"

#include <vector>

#include <vtkCellArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>

#include "io/solid_file.hpp"
#include "io/vtk_parts.hpp"
#include "mesh/nearest_node.hpp"
#include "mesh/solid/divide_shell.hpp"

namespace firstshot {
namespace {

constexpr double sides_per_element = 1.5;          // of the surface, per element size
constexpr std::size_t most_triangles = 2'000'000;  // a viewer still turns them smoothly

}  // namespace

std::string surface_vtp(const BuiltSetup& built, const NodeFields& fields) {
  const SolidFile& solid = *built.resolved.solid->read;
  const double longest = sides_per_element * built.resolved.accuracy.element_size.value();
  const Shell surface = divided_shell(solid.shell, longest, most_triangles);
  const NearestNode nearest(built.setup.model);
  const double unit = unit_length(built.resolved), scale = cavity_scale(built.resolved);

  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  std::vector<NodeId> nodes;
  nodes.reserve(surface.points.size());
  for (const Point3& p : surface.points) {
    const Point3 in_cavity = {scale * p.x, scale * p.y, scale * p.z};
    points->InsertNextPoint(in_cavity.x / unit, in_cavity.y / unit, in_cavity.z / unit);
    nodes.push_back(nearest.of(built.solid->frame.into(in_cavity)));
  }
  vtkNew<vtkCellArray> cells;
  cells->Use32BitStorage();
  for (const auto& t : surface.triangles) cells->InsertNextCell({t[0], t[1], t[2]});
  vtkNew<vtkPolyData> data;
  data->SetPoints(points);
  data->SetPolys(cells);
  add_point_fields(*data->GetPointData(), fields, nodes);
  return vtk_text(*data);
}

}  // namespace firstshot
