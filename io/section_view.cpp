#include "io/section_view.hpp"

#include <array>
#include <system_error>
#include <vector>

#include <fmt/format.h>
#include <vtkCellArray.h>
#include <vtkCellData.h>
#include <vtkFloatArray.h>
#include <vtkIntArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkUnstructuredGrid.h>

#include "io/atomic_file.hpp"
#include "io/found_gates.hpp"
#include "io/vtk_parts.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3;  // [m]
constexpr const char* section_folder = "section";

vtkNew<vtkFloatArray> lengths_in_mm(const char* name, const std::vector<double>& lengths) {
  vtkNew<vtkFloatArray> array;
  array->SetName(name);
  for (const double length : lengths) array->InsertNextValue(static_cast<float>(length / mm));
  return array;
}

vtkNew<vtkIntArray> numbers(const char* name, const std::vector<int>& values) {
  vtkNew<vtkIntArray> array;
  array->SetName(name);
  for (const int value : values) array->InsertNextValue(value);
  return array;
}

/// The points of a file of findings, one row each.
struct Findings {
  std::vector<Point3> at;
  std::vector<int> kind;
  std::vector<double> width, depth, length, cutter;
  std::vector<std::string> names;
};

Findings findings_of(const BuiltSetup& built) {
  Findings f;
  const auto add = [&](int kind, const Point3& at, const std::array<double, 4>& sizes,
                       const std::string& name) {
    f.at.push_back(at);
    f.kind.push_back(kind);
    f.width.push_back(sizes[0]);
    f.depth.push_back(sizes[1]);
    f.length.push_back(sizes[2]);
    f.cutter.push_back(sizes[3]);
    f.names.push_back(name);
  };
  for (const GateSize& g : gate_sizes(built))
    add(0, g.at, {g.width, g.depth, g.length, g.cutter}, g.name);
  if (!built.solid) return f;
  for (const Undercut& u : built.solid->undercuts)
    add(1, u.at, {u.size, u.gap, u.size, 0.0}, "undercut");
  return f;
}

std::string channels_vtp(const Model& model, double unit_length) {
  vtkNew<vtkPolyData> data;
  add_channels(*data, model, unit_length);
  return vtk_text(*data);
}

}  // namespace

std::string walls_vtu(const Model& model, double unit_length) {
  const bool has_surfaces = !model.lower.empty();
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    const VertexId v = make_id<VertexId>(i);
    const double z = has_surfaces ? (model.lower[v] + model.upper[v]) / 2.0 : 0.0;
    const Point& p = model.mesh.points[v];
    points->InsertNextPoint(p.x / unit_length, p.y / unit_length, z / unit_length);
  }
  vtkNew<vtkCellArray> cells;
  cells->Use32BitStorage();
  for (const Triangle& t : model.mesh.triangles.span())
    cells->InsertNextCell({vtkIdType(t[0]), vtkIdType(t[1]), vtkIdType(t[2])});
  std::vector<int> parts, roles;
  for (const std::int32_t region : model.mesh.region.span()) {
    parts.push_back(region);
    roles.push_back(static_cast<int>(model.regions[static_cast<std::size_t>(region)].role));
  }
  vtkNew<vtkUnstructuredGrid> grid;
  grid->SetPoints(points);
  grid->SetCells(VTK_TRIANGLE, cells);
  grid->GetCellData()->AddArray(lengths_in_mm("thickness [mm]", model.thickness.vector()));
  grid->GetCellData()->AddArray(numbers("part id", parts));
  grid->GetCellData()->AddArray(numbers("role id", roles));
  grid->GetCellData()->SetActiveScalars("thickness [mm]");
  if (has_surfaces) {
    grid->GetPointData()->AddArray(lengths_in_mm("lower surface [mm]", model.lower.vector()));
    grid->GetPointData()->AddArray(lengths_in_mm("upper surface [mm]", model.upper.vector()));
  }
  std::vector<std::string> names;
  for (const Region& region : model.regions) names.push_back(region.name);
  add_names(*grid->GetFieldData(), "part names", names);
  return vtk_text(*grid);
}

std::string findings_vtp(const BuiltSetup& built, double unit_length) {
  const Findings f = findings_of(built);
  vtkNew<vtkPoints> points;
  vtkNew<vtkCellArray> cells;
  for (const Point3& at : f.at) {
    const vtkIdType i =
        points->InsertNextPoint(at.x / unit_length, at.y / unit_length, at.z / unit_length);
    cells->InsertNextCell({i});
  }
  vtkNew<vtkPolyData> data;
  data->SetPoints(points);
  data->SetVerts(cells);
  vtkPointData& fields = *data->GetPointData();
  fields.AddArray(numbers("kind id", f.kind));
  fields.AddArray(lengths_in_mm("width [mm]", f.width));
  fields.AddArray(lengths_in_mm("depth [mm]", f.depth));
  fields.AddArray(lengths_in_mm("length [mm]", f.length));
  fields.AddArray(lengths_in_mm("cutter [mm]", f.cutter));
  add_names(*data->GetFieldData(), "finding names", f.names);
  return vtk_text(*data);
}

void write_section_view(const BuiltSetup& built, const std::filesystem::path& folder) {
  const std::filesystem::path inner = folder / section_folder;
  std::error_code failed;
  std::filesystem::create_directories(inner, failed);
  if (failed) throw Error("cannot make the folder " + inner.string() + ": " + failed.message());
  const double unit = unit_length(built.resolved);
  const Model& model = built.setup.model;
  std::vector<CollectionEntry> entries;
  const auto write = [&](const std::string& name, const std::string& ending,
                         const std::string& text) {
    write_atomically(inner / (name + ending), text);
    entries.push_back({0.0, static_cast<int>(entries.size()), name,
                       fmt::format("{}/{}{}", section_folder, name, ending)});
  };
  write("walls", ".vtu", walls_vtu(model, unit));
  if (!model.lines.empty()) write("channels", ".vtp", channels_vtp(model, unit));
  write("findings", ".vtp", findings_vtp(built, unit));
  write_atomically(folder / "section.pvd", collection_text(entries));
}

}  // namespace firstshot
