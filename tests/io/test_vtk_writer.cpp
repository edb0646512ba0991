#include <cmath>

#include <catch2/catch.hpp>
#include <vtkCell.h>
#include <vtkCellData.h>
#include <vtkDataArray.h>
#include <vtkFieldData.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPolyData.h>
#include <vtkSmartPointer.h>
#include <vtkStringArray.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLDataElement.h>
#include <vtkXMLUtilities.h>

#include "io/vtk_writer.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/io/vtk_text.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

namespace {

constexpr double mm = 1e-3;

/// Root of a well-formed XML text; nullptr otherwise.
vtkSmartPointer<vtkXMLDataElement> xml(const std::string& text) {
  return vtkSmartPointer<vtkXMLDataElement>::Take(
      vtkXMLUtilities::ReadElementFromString(text.c_str()));
}

std::vector<std::string> names(vtkFieldData& data, const char* title) {
  auto* array = vtkStringArray::SafeDownCast(data.GetAbstractArray(title));
  std::vector<std::string> out;
  for (vtkIdType i = 0; array != nullptr && i < array->GetNumberOfValues(); ++i)
    out.push_back(array->GetValue(i));
  return out;
}

double value(vtkDataSetAttributes& data, const char* name, int i) {
  vtkDataArray* array = data.GetArray(name);
  REQUIRE(array != nullptr);
  return array->GetComponent(i, 0);
}

struct FileOfStep {
  double time;
  std::string name, file;
};
std::vector<FileOfStep> collection(const std::filesystem::path& file) {
  const auto root = xml(sample::read_text(file));
  REQUIRE(root != nullptr);
  CHECK(std::string(root->GetAttribute("type")) == "Collection");
  vtkXMLDataElement* list = root->FindNestedElementWithName("Collection");
  REQUIRE(list != nullptr);
  std::vector<FileOfStep> out;
  for (int i = 0; i < list->GetNumberOfNestedElements(); ++i) {
    vtkXMLDataElement* entry = list->GetNestedElement(i);
    out.push_back({std::stod(entry->GetAttribute("timestep")), entry->GetAttribute("name"),
                   entry->GetAttribute("file")});
  }
  return out;
}

}  // namespace

TEST_CASE("triangles are read back with the input's coordinates and named fields",
          "[io][vtk_writer]") {
  const Model model = sample::model();
  const NodeFields fields = sample::fields(model, 1);
  const auto grid = sample::read_grid(cavity_vtu(model, fields, mm, 0.125));
  REQUIRE(grid->GetNumberOfPoints() == 7);
  REQUIRE(grid->GetNumberOfCells() == 3);
  CHECK(grid->GetCellType(0) == VTK_TRIANGLE);
  CHECK(grid->GetPoint(1)[0] == Approx(30.0));
  CHECK(grid->GetPoint(1)[1] == Approx(-5.0));
  CHECK(grid->GetCell(1)->GetPointId(2) == 3);
  CHECK(value(*grid->GetCellData(), "part id", 2) == 1);
  CHECK(value(*grid->GetCellData(), "thickness [mm]", 0) == Approx(1.2));

  vtkPointData& points = *grid->GetPointData();
  const NodeId two{2};
  CHECK(value(points, "arrival time [s]", 2) == Approx(fields.arrival_time[two]));
  CHECK(value(points, "fill fraction", 2) == Approx(fields.fill[two]));
  CHECK(value(points, "pressure [MPa]", 2) == Approx(fields.pressure[two] * 1e-6));
  CHECK(value(points, "mean temperature [degC]", 2) ==
        Approx(fields.temperature_mean[two] - 273.15));
  CHECK(value(points, "core temperature [degC]", 2) ==
        Approx(fields.temperature_core[two] - 273.15));
  CHECK(value(points, "solid share of the gap", 2) == Approx(fields.solid_share[two]));
  CHECK(value(points, "wall-side shear rate [1/s]", 2) == Approx(fields.shear_rate[two]));
  CHECK(value(points, "gas pressure [MPa]", 2) == Approx(fields.gas_pressure[two] * 1e-6));
  CHECK(value(points, "pressure when holding begins [MPa]", 2) ==
        Approx(fields.begin_pressure[two] * 1e-6));
  CHECK(value(points, "frozen-in pressure [MPa]", 2) == Approx(fields.frozen_pressure[two] * 1e-6));
  CHECK(value(points, "volume shrinkage [%]", 2) == Approx(fields.volume_shrinkage[two] * 100.0));
  CHECK(points.GetNumberOfArrays() == 15);
  CHECK(value(points, "pressure [MPa]", 3) ==
        value(points, "pressure [MPa]", 0));  // one mouth, one node
  CHECK(std::isnan(value(points, "arrival time [s]", 4)));
  CHECK(names(*grid->GetFieldData(), "part names") ==
        std::vector<std::string>{sample::odd_name, "far"});
  CHECK(grid->GetFieldData()->GetArray("TimeValue")->GetComponent(0, 0) == 0.125);
}

TEST_CASE("channels are read back as lines with the radius of a bar of the same area",
          "[io][vtk_writer]") {
  const Model model = sample::model();
  const NodeFields fields = sample::fields(model, 1);
  const auto data = sample::read_lines(runners_vtp(model, fields, mm, 0.125));
  REQUIRE(data->GetNumberOfLines() == 3);
  REQUIRE(data->GetNumberOfPoints() == 7);
  CHECK(data->GetCell(1)->GetNumberOfPoints() == 3);
  CHECK(data->GetPoint(0)[2] == Approx(35.0));
  vtkPointData& points = *data->GetPointData();
  CHECK(value(points, "radius", 0) == Approx(1.5));
  CHECK(value(points, "radius", 1) == Approx(2.5));
  CHECK(value(points, "radius", 6) == Approx(std::sqrt(1.0 * 0.6 / M_PI)));
  CHECK(value(points, "pressure [MPa]", 0) == Approx(fields.pressure[NodeId{4}] * 1e-6));
  CHECK(value(*data->GetCellData(), "channel id", 2) == 2);
  CHECK(names(*data->GetFieldData(), "channel names") ==
        std::vector<std::string>{"sprue", "east", sample::odd_name});
}

TEST_CASE("coordinates and radii follow the unit of the input", "[io][vtk_writer]") {
  const Model model = sample::model();
  const NodeFields fields = sample::fields(model, 1);
  constexpr double inch = 25.4e-3;
  const auto grid = sample::read_grid(cavity_vtu(model, fields, inch, 0.0));
  CHECK(grid->GetPoint(1)[0] == Approx(0.030 / inch));
  const auto data = sample::read_lines(runners_vtp(model, fields, inch, 0.0));
  CHECK(value(*data->GetPointData(), "radius", 0) == Approx(1.5e-3 / inch));
  CHECK(value(*grid->GetCellData(), "thickness [mm]", 0) == Approx(1.2));
}

TEST_CASE("step files are well-formed, compressed XML that says it is UTF-8", "[io][vtk_writer]") {
  const Model model = sample::model();
  for (const std::string& text : {cavity_vtu(model, sample::fields(model, 1), mm, 0.0),
                                  runners_vtp(model, sample::fields(model, 1), mm, 0.0)}) {
    CHECK(text.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"));
    const auto root = xml(text);
    REQUIRE(root != nullptr);
    CHECK(std::string(root->GetAttribute("compressor")) == "vtkZLibDataCompressor");
  }
}

TEST_CASE("the collection lists triangles and lines of each step at its time", "[io][vtk_writer]") {
  const sample::TemporaryFolder folder;
  std::filesystem::create_directory(folder / "steps");
  const Model model = sample::model();
  VtkSeries series(folder.path(), model, mm);
  series.write_collection();
  CHECK(collection(folder / "fill.pvd").empty());
  for (int step = 1; step <= 2; ++step) series.add_step(sample::fields(model, step), step / 3.0);
  const std::vector<FileOfStep> list = collection(folder / "fill.pvd");
  REQUIRE(list.size() == 4);
  CHECK((list[0].file == "steps/fill_0001.vtu" && list[1].file == "steps/runners_0001.vtp"));
  CHECK((list[2].file == "steps/fill_0002.vtu" && list[3].file == "steps/runners_0002.vtp"));
  CHECK((list[2].name == "cavity" && list[3].name == "runners"));
  CHECK((list[2].time == 2 / 3.0 && list[3].time == 2 / 3.0));
  for (const FileOfStep& entry : list) CHECK(VtkSeries::owns(entry.file.substr(6)));
  for (const FileOfStep& entry : list) CHECK(std::filesystem::file_size(folder / entry.file) > 0);
}

TEST_CASE("a frame without channels has no file of lines", "[io][vtk_writer][limit]") {
  const sample::TemporaryFolder folder;
  std::filesystem::create_directory(folder / "steps");
  const Model model = sample::model(false);
  VtkSeries series(folder.path(), model, mm);
  series.add_step(sample::fields(model, 1), 0.5);
  CHECK(collection(folder / "fill.pvd").size() == 1);
  CHECK_FALSE(std::filesystem::exists(folder / "steps/runners_0001.vtp"));
}

TEST_CASE("a full disk leaves no half step and no entry in the collection",
          "[io][vtk_writer][limit]") {
  const sample::TemporaryFolder folder;
  std::filesystem::create_directory(folder / "steps");
  const Model model = sample::model();
  VtkSeries series(folder.path(), model, mm);
  series.add_step(sample::fields(model, 1), 0.5);
  const std::string before = sample::read_text(folder / "fill.pvd");
  std::string message;
  {
    const sample::FileSizeLimit limit(1000);
    message = error_of([&] { series.add_step(sample::fields(model, 2), 0.6); });
  }
  CHECK_THAT(message, Contains("fill_0002.vtu") && Contains("File too large"));
  CHECK(sample::read_text(folder / "fill.pvd") == before);
  CHECK_FALSE(std::filesystem::exists(folder / "steps/fill_0002.vtu"));
}

TEST_CASE("only names of the series count as its own", "[io][vtk_writer]") {
  CHECK(VtkSeries::owns("fill_0001.vtu"));
  CHECK(VtkSeries::owns("runners_12345.vtp"));
  for (const char* name :
       {"fill_.vtu", "fill_01a.vtu", "my_fill_0001.vtu", "fill_0001.vtp", "fill_0001.vtu.bak"})
    CHECK_FALSE(VtkSeries::owns(name));
}
