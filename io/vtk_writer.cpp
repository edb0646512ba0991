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
#include <vtkXMLPolyDataWriter.h>
#include <vtkXMLUnstructuredGridWriter.h>

#include "io/atomic_file.hpp"
#include "io/section_columns.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3;              // [m]
constexpr double megapascal = 1e6;       // [Pa]
constexpr double zero_celsius = 273.15;  // [K]
constexpr int fast_compression = 1;      // a third of level 6's time for a few per cent more bytes
constexpr const char* step_folder = "steps";
constexpr const char* cavity_prefix = "fill_";
constexpr const char* runners_prefix = "runners_";

/// How a field of the solver is shown: value / scale - offset.
struct Shown {
  const char* name;
  const NodeField<double> NodeFields::*field;
  double scale;
  double offset;
};
const std::vector<Shown>& shown_fields() {
  static const std::vector<Shown> fields{
      {"arrival time [s]", &NodeFields::arrival_time, 1.0, 0.0},
      {"fill fraction", &NodeFields::fill, 1.0, 0.0},
      {"pressure [MPa]", &NodeFields::pressure, megapascal, 0.0},
      {"mean temperature [degC]", &NodeFields::temperature_mean, 1.0, zero_celsius},
      {"core temperature [degC]", &NodeFields::temperature_core, 1.0, zero_celsius},
      {"solid share of the gap", &NodeFields::solid_share, 1.0, 0.0},
      {"wall-side shear rate [1/s]", &NodeFields::shear_rate, 1.0, 0.0},
      {"gas pressure [MPa]", &NodeFields::gas_pressure, megapascal, 0.0},
      {"air pocket", &NodeFields::air_pocket, 1.0, 0.0},
  };
  return fields;
}

/// Adds the fields of points that stand for the given nodes.
void add_point_fields(vtkPointData& data, const NodeFields& fields,
                      const std::vector<NodeId>& nodes) {
  for (const Shown& shown : shown_fields()) {
    const NodeField<double>& field = fields.*shown.field;
    vtkNew<vtkFloatArray> array;
    array->SetName(shown.name);
    array->SetNumberOfValues(static_cast<vtkIdType>(nodes.size()));
    for (std::size_t i = 0; i < nodes.size(); ++i)
      array->SetValue(static_cast<vtkIdType>(i),
                      static_cast<float>(field[nodes[i]] / shown.scale - shown.offset));
    data.AddArray(array);
  }
  data.SetActiveScalars(shown_fields().front().name);
}

void add_names(vtkFieldData& data, const char* title, const std::vector<std::string>& names) {
  vtkNew<vtkStringArray> array;
  array->SetName(title);
  for (const std::string& name : names) array->InsertNextValue(name);
  data.AddArray(array);
}

/// The name by which viewers know the time of a single file.
void add_time(vtkFieldData& data, double time) {
  vtkNew<vtkDoubleArray> array;
  array->SetName("TimeValue");
  array->InsertNextValue(time);
  data.AddArray(array);
}

template <class Writer, class Data>
std::string xml_text(Data& data) {
  vtkNew<Writer> writer;
  writer->SetInputData(&data);
  writer->WriteToOutputStringOn();
  writer->SetDataModeToBinary();
  writer->SetCompressorTypeToZLib();
  writer->SetCompressionLevel(fast_compression);
  writer->Write();
  std::string text = writer->GetOutputString();
  const std::string plain = "<?xml version=\"1.0\"?>";
  if (text.starts_with(plain))
    text.replace(0, plain.size(), "<?xml version=\"1.0\" encoding=\"UTF-8\"?>");
  return text;
}

/// Channels as chains of nodes with the radius at each.
struct Chain {
  std::vector<NodeId> nodes;
  std::vector<double> radius;  ///< [m]
  std::int32_t channel = 0;
};
std::vector<Chain> chains(const Model& model) {
  std::vector<Chain> out;
  for (const LineElement& line : model.lines.span()) {
    const bool goes_on =
        !out.empty() && out.back().channel == line.channel && out.back().nodes.back() == line.from;
    if (!goes_on) out.push_back({{line.from}, {equal_area_radius(line.start)}, line.channel});
    out.back().nodes.push_back(line.to);
    out.back().radius.push_back(equal_area_radius(line.end));
  }
  return out;
}

std::string collection_entry(double time, int part, const char* name, const std::string& file) {
  return fmt::format(
      "    <DataSet timestep=\"{}\" group=\"\" part=\"{}\" name=\"{}\" file=\"{}\"/>\n", time, part,
      name, file);
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
  return xml_text<vtkXMLUnstructuredGridWriter>(*grid);
}

std::string runners_vtp(const Model& model, const NodeFields& fields, double unit_length,
                        double time) {
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  vtkNew<vtkCellArray> lines;
  lines->Use32BitStorage();
  vtkNew<vtkFloatArray> radius;
  radius->SetName("radius");
  vtkNew<vtkIntArray> channel;
  channel->SetName("channel id");
  std::vector<NodeId> nodes;
  for (const Chain& chain : chains(model)) {
    lines->InsertNextCell(static_cast<int>(chain.nodes.size()));
    for (std::size_t i = 0; i < chain.nodes.size(); ++i) {
      const Point3& p = model.position[chain.nodes[i]];
      lines->InsertCellPoint(
          points->InsertNextPoint(p.x / unit_length, p.y / unit_length, p.z / unit_length));
      radius->InsertNextValue(static_cast<float>(chain.radius[i] / unit_length));
      nodes.push_back(chain.nodes[i]);
    }
    channel->InsertNextValue(chain.channel);
  }

  vtkNew<vtkPolyData> data;
  data->SetPoints(points);
  data->SetLines(lines);
  data->GetPointData()->AddArray(radius);
  data->GetCellData()->AddArray(channel);
  add_point_fields(*data->GetPointData(), fields, nodes);
  std::vector<std::string> names;
  for (const Channel& c : model.channels) names.push_back(c.name);
  add_names(*data->GetFieldData(), "channel names", names);
  add_time(*data->GetFieldData(), time);
  return xml_text<vtkXMLPolyDataWriter>(*data);
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
  std::string text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<VTKFile type=\"Collection\" version=\"1.0\" byte_order=\"LittleEndian\">\n"
      "  <Collection>\n";
  for (std::size_t i = 0; i < times_.size(); ++i) {
    text += collection_entry(times_[i], 0, "cavity", step_name(cavity_prefix, i + 1, ".vtu"));
    if (!model_.lines.empty())
      text += collection_entry(times_[i], 1, "runners", step_name(runners_prefix, i + 1, ".vtp"));
  }
  text += "  </Collection>\n</VTKFile>\n";
  write_atomically(folder_ / "fill.pvd", text);
}

}  // namespace firstshot
