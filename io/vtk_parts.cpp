#include "io/vtk_parts.hpp"

#include <fmt/format.h>
#include <vtkCellArray.h>
#include <vtkCellData.h>
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

#include "io/section_columns.hpp"

namespace firstshot {
namespace {

constexpr double megapascal = 1e6;       // [Pa]
constexpr double zero_celsius = 273.15;  // [K]
constexpr double percent = 0.01;
constexpr int fast_compression = 1;  // a third of level 6's time for a few per cent more bytes

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
      {"scorch ranking [J/m]", &NodeFields::exit_energy, 1.0, 0.0},
      {"pressure when holding begins [MPa]", &NodeFields::begin_pressure, megapascal, 0.0},
      {"frozen-in pressure [MPa]", &NodeFields::frozen_pressure, megapascal, 0.0},
      {"time to ejection [s]", &NodeFields::time_to_ejection, 1.0, 0.0},
      {"void of caught air [%]", &NodeFields::void_share, percent, 0.0},
      {"volume shrinkage [%]", &NodeFields::volume_shrinkage, percent, 0.0},
  };
  return fields;
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

}  // namespace

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

std::vector<NodeId> add_channels(vtkPolyData& data, const Model& model, double unit_length) {
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

  data.SetPoints(points);
  data.SetLines(lines);
  data.GetPointData()->AddArray(radius);
  data.GetCellData()->AddArray(channel);
  std::vector<std::string> names;
  for (const Channel& c : model.channels) names.push_back(c.name);
  add_names(*data.GetFieldData(), "channel names", names);
  return nodes;
}

std::string vtk_text(vtkUnstructuredGrid& data) {
  return xml_text<vtkXMLUnstructuredGridWriter>(data);
}
std::string vtk_text(vtkPolyData& data) { return xml_text<vtkXMLPolyDataWriter>(data); }

std::string collection_text(const std::vector<CollectionEntry>& entries) {
  std::string text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<VTKFile type=\"Collection\" version=\"1.0\" byte_order=\"LittleEndian\">\n"
      "  <Collection>\n";
  for (const CollectionEntry& e : entries)
    text += fmt::format(
        "    <DataSet timestep=\"{}\" group=\"\" part=\"{}\" name=\"{}\" file=\"{}\"/>\n", e.time,
        e.part, e.name, e.file);
  return text + "  </Collection>\n</VTKFile>\n";
}

}  // namespace firstshot
