#include "io/vtk_writer.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <vtkCellArray.h>
#include <vtkCellData.h>
#include <vtkDoubleArray.h>
#include <vtkFieldData.h>
#include <vtkFloatArray.h>
#include <vtkIntArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkStringArray.h>
#include <vtkUnstructuredGrid.h>

#include "io/atomic_file.hpp"
#include "io/vtk_parts.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3;  // [m]
constexpr const char* step_folder = "steps";
constexpr const char* cavity_prefix = "fill_";
constexpr const char* runners_prefix = "runners_";

/// The name by which viewers know the time of a single file.
void add_time(vtkFieldData& data, double time) {
  vtkNew<vtkDoubleArray> array;
  array->SetName("TimeValue");
  array->InsertNextValue(time);
  data.AddArray(array);
}

std::string step_name(const char* prefix, std::size_t number, const char* ending) {
  return fmt::format("{}/{}{:04}{}", step_folder, prefix, number, ending);
}

}  // namespace

std::string cavity_vtu(const Model& model, const NodeFields& fields, double unit_length,
                       double time) {
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  for (const Point& p : model.mesh.points.span())
    points->InsertNextPoint(p.x / unit_length, p.y / unit_length, 0.0);

  vtkNew<vtkCellArray> cells;
  cells->Use32BitStorage();
  vtkNew<vtkIntArray> part;
  part->SetName("part id");
  vtkNew<vtkFloatArray> thickness;
  thickness->SetName("thickness [mm]");
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    const Triangle& corners = model.mesh.triangles[t];
    cells->InsertNextCell({vtkIdType(corners[0]), vtkIdType(corners[1]), vtkIdType(corners[2])});
    part->InsertNextValue(model.mesh.region[t]);
    thickness->InsertNextValue(static_cast<float>(model.thickness[t] / mm));
  }

  vtkNew<vtkUnstructuredGrid> grid;
  grid->SetPoints(points);
  grid->SetCells(VTK_TRIANGLE, cells);
  grid->GetCellData()->AddArray(part);
  grid->GetCellData()->AddArray(thickness);
  add_point_fields(*grid->GetPointData(), fields, model.node_of_vertex.vector());
  std::vector<std::string> names;
  for (const Region& region : model.regions) names.push_back(region.name);
  add_names(*grid->GetFieldData(), "part names", names);
  add_time(*grid->GetFieldData(), time);
  return vtk_text(*grid);
}

std::string runners_vtp(const Model& model, const NodeFields& fields, double unit_length,
                        double time) {
  vtkNew<vtkPolyData> data;
  const std::vector<NodeId> nodes = add_channels(*data, model, unit_length);
  add_point_fields(*data->GetPointData(), fields, nodes);
  add_time(*data->GetFieldData(), time);
  return vtk_text(*data);
}

VtkSeries::VtkSeries(std::filesystem::path folder, const Model& model, double unit_length)
    : folder_(std::move(folder)), model_(model), unit_length_(unit_length) {}

std::filesystem::path VtkSeries::cavity_file(std::size_t number) const {
  return folder_ / step_name(cavity_prefix, number, ".vtu");
}
std::filesystem::path VtkSeries::runners_file(std::size_t number) const {
  return folder_ / step_name(runners_prefix, number, ".vtp");
}

bool VtkSeries::owns(const std::string& file_name) {
  const auto is = [&](const std::string& prefix, const std::string& ending) {
    if (file_name.size() <= prefix.size() + ending.size() || !file_name.starts_with(prefix) ||
        !file_name.ends_with(ending))
      return false;
    return std::all_of(file_name.begin() + static_cast<std::ptrdiff_t>(prefix.size()),
                       file_name.end() - static_cast<std::ptrdiff_t>(ending.size()),
                       [](char c) { return c >= '0' && c <= '9'; });
  };
  return is(cavity_prefix, ".vtu") || is(runners_prefix, ".vtp");
}

void VtkSeries::write_step(const NodeFields& fields, double time, bool only_missing) {
  times_.push_back(time);
  const auto wanted = [&](const std::filesystem::path& file) {
    return !only_missing || !std::filesystem::exists(file);
  };
  const std::filesystem::path cavity = cavity_file(times_.size());
  if (wanted(cavity)) write_atomically(cavity, cavity_vtu(model_, fields, unit_length_, time));
  const std::filesystem::path runners = runners_file(times_.size());
  if (!model_.lines.empty() && wanted(runners))
    write_atomically(runners, runners_vtp(model_, fields, unit_length_, time));
}

void VtkSeries::add_step(const NodeFields& fields, double time) {
  write_step(fields, time, false);
  write_collection();
}

void VtkSeries::adopt_step(const NodeFields& fields, double time) {
  write_step(fields, time, true);
}

void VtkSeries::write_collection() const {
  std::vector<CollectionEntry> entries;
  for (std::size_t i = 0; i < times_.size(); ++i) {
    entries.push_back({times_[i], 0, "cavity", step_name(cavity_prefix, i + 1, ".vtu")});
    if (!model_.lines.empty())
      entries.push_back({times_[i], 1, "runners", step_name(runners_prefix, i + 1, ".vtp")});
  }
  write_atomically(folder_ / "fill.pvd", collection_text(entries));
}

}  // namespace firstshot
