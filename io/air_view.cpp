#include "io/air_view.hpp"

#include <cmath>

#include <vtkCellArray.h>
#include <vtkDoubleArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>

#include "io/vtk_parts.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3, mm3 = 1e-9, megapascal = 1e6, zero_celsius = 273.15;

template <class Get>
void add_field(vtkPolyData& data, const char* name, const Result& result, Get&& get) {
  vtkNew<vtkDoubleArray> array;
  array->SetName(name);
  for (const AirPocketResult& pocket : result.air_pockets) array->InsertNextValue(get(pocket));
  data.GetPointData()->AddArray(array);
}

}  // namespace

std::string air_pockets_vtp(const Result& result, double unit_length) {
  using Pocket = AirPocketResult;
  vtkNew<vtkPoints> points;
  vtkNew<vtkCellArray> cells;
  for (const Pocket& pocket : result.air_pockets) {
    const vtkIdType i =
        points->InsertNextPoint(pocket.at.x / unit_length, pocket.at.y / unit_length, 0.0);
    cells->InsertNextCell({i});
  }
  vtkNew<vtkPolyData> data;
  data->SetPoints(points);
  data->SetVerts(cells);
  const auto add = [&](const char* name, auto&& get) { add_field(*data, name, result, get); };
  add("pocket", [](const Pocket& p) { return static_cast<double>(p.number); });
  add("peak pressure [MPa]", [](const Pocket& p) { return p.peak_pressure / megapascal; });
  add("peak temperature [degC]", [](const Pocket& p) { return p.peak_temperature - zero_celsius; });
  add("left [mm3]", [](const Pocket& p) { return p.volume / mm3; });
  add("void [mm3]", [](const Pocket& p) { return p.hollow < 0.0 ? std::nan("") : p.hollow / mm3; });
  add("closed volume [mm3]", [](const Pocket& p) { return p.closed_volume / mm3; });
  add("vented", [](const Pocket& p) { return p.vented ? 1.0 : 0.0; });
  add("may scorch", [](const Pocket& p) { return p.may_scorch ? 1.0 : 0.0; });
  add("vent reaches", [](const Pocket& p) {
    if (!p.proposal) return -1.0;
    return p.proposal->reaches ? 1.0 : 0.0;
  });
  add("vent width [mm]", [](const Pocket& p) { return p.proposal ? p.proposal->width / mm : 0.0; });
  return vtk_text(*data);
}

}  // namespace firstshot
