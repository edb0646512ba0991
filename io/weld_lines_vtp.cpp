#include "io/weld_lines_vtp.hpp"

#include <algorithm>

#include <vtkCellArray.h>
#include <vtkCellData.h>
#include <vtkFloatArray.h>
#include <vtkIntArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>

#include "io/vtk_parts.hpp"

namespace firstshot {
namespace {

constexpr double zero_celsius = 273.15;
constexpr double megapascal = 1e6;

template <class Value>
void add_values(vtkPolyData& data, const char* name, const std::vector<WeldLine>& lines,
                Value&& value) {
  vtkNew<vtkFloatArray> array;
  array->SetName(name);
  for (const WeldLine& line : lines)
    for (const MeetingPoint& m : line.points) array->InsertNextValue(static_cast<float>(value(m)));
  data.GetPointData()->AddArray(array);
}

template <class Value>
void add_numbers(vtkPolyData& data, const char* name, const std::vector<WeldLine>& lines,
                 Value&& value) {
  vtkNew<vtkIntArray> array;
  array->SetName(name);
  for (const WeldLine& line : lines) array->InsertNextValue(static_cast<int>(value(line)));
  data.GetCellData()->AddArray(array);
}

}  // namespace

std::string weld_lines_vtp(const std::vector<WeldLine>& lines, double unit_length) {
  vtkNew<vtkPoints> points;
  points->SetDataTypeToFloat();
  vtkNew<vtkCellArray> cells;
  std::vector<std::string> names;
  for (const WeldLine& line : lines) {
    cells->InsertNextCell(static_cast<int>(line.points.size()));
    for (const MeetingPoint& m : line.points)
      cells->InsertCellPoint(
          points->InsertNextPoint(m.at.x / unit_length, m.at.y / unit_length, 0.0));
    if (std::find(names.begin(), names.end(), line.part) == names.end()) names.push_back(line.part);
  }
  vtkNew<vtkPolyData> data;
  data->SetPoints(points);
  data->SetLines(cells);
  add_values(*data, "meeting angle [deg]", lines, [](const auto& m) { return m.angle_deg; });
  add_values(*data, "mean temperature [degC]", lines,
             [](const auto& m) { return m.temperature - zero_celsius; });
  add_values(*data, "pressure [MPa]", lines, [](const auto& m) { return m.pressure / megapascal; });
  add_values(*data, "meeting time [s]", lines, [](const auto& m) { return m.time; });
  add_numbers(*data, "part id", lines, [&](const WeldLine& line) {
    return std::find(names.begin(), names.end(), line.part) - names.begin();
  });
  add_numbers(*data, "kind", lines, [](const WeldLine& l) { return l.kind == MeetingKind::meld; });
  add_numbers(*data, "visible", lines, [](const WeldLine& l) { return l.visible; });
  add_numbers(*data, "in channel", lines, [](const WeldLine& l) { return l.in_channel; });
  add_names(*data->GetFieldData(), "part names", names);
  return vtk_text(*data);
}

}  // namespace firstshot
