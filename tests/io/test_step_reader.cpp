// STEP files that OpenCASCADE writes of its own primitives, against its own volumes and closed
// forms.
#include <cmath>
#include <fstream>
#include <map>
#include <numbers>
#include <sstream>

#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakeSphere.hxx>
#include <GProp_GProps.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_PrinterOStream.hxx>
#include <STEPControl_Controller.hxx>
#include <STEPControl_Writer.hxx>
#include <catch2/catch.hpp>
#include <gp_Ax2.hxx>

#include "io/solid_file.hpp"
#include "io/step_reader.hpp"
#include "mesh/error.hpp"
#include "mesh/solid/space.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/stl_samples.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;

namespace {

/// Shape in mm, written in `unit` ("MM", "INCH", "M").
void write_step(const TopoDS_Shape& shape, const std::filesystem::path& file, const char* unit) {
  Message::DefaultMessenger()->RemovePrinters(STANDARD_TYPE(Message_PrinterOStream));
  STEPControl_Controller::Init();
  Interface_Static::SetCVal("write.step.unit", unit);  // before the writer, which looks at it once
  STEPControl_Writer writer;
  REQUIRE(writer.Transfer(shape, STEPControl_AsIs) == IFSelect_RetDone);
  REQUIRE(writer.Write(file.c_str()) == IFSelect_RetDone);
}

std::string step_text(const TopoDS_Shape& shape, const char* unit = "MM") {
  const ScratchFolder scratch("step");
  write_step(shape, scratch.path() / "shape.step", unit);
  std::ifstream in(scratch.path() / "shape.step");
  return {std::istreambuf_iterator<char>(in), {}};
}

StepSurface read_text(const std::string& text, double tolerance = 0.01e-3) {
  std::istringstream in(text);
  return read_step(in, "frame.step", tolerance);
}

std::string fault_of(const std::string& text) {
  return test::refusal_of([&] { read_text(text); });
}

double volume_of(const TopoDS_Shape& shape) {  // [mm³]
  GProp_GProps props;
  BRepGProp::VolumeProperties(shape, props);
  return props.Mass();
}

double area_of(const TopoDS_Shape& shape) {  // [mm²]
  GProp_GProps props;
  BRepGProp::SurfaceProperties(shape, props);
  return props.Mass();
}

/// [m²]
double area_of(const Shell& shell) {
  double sum = 0.0;
  for (const auto& t : shell.triangles) {
    const Point3 a = shell.points[t[1]] - shell.points[t[0]];
    const Point3 b = shell.points[t[2]] - shell.points[t[0]];
    const Point3 n = cross(a, b);
    sum += 0.5 * std::sqrt(dot(n, n));
  }
  return sum;
}

/// Every edge is shared by exactly two triangles, once in each direction.
bool is_closed(const Shell& shell) {
  std::map<std::pair<int, int>, int> sides;
  for (const auto& t : shell.triangles)
    for (int k = 0; k < 3; ++k) ++sides[{t[k], t[(k + 1) % 3]}];
  for (const auto& [side, count] : sides) {
    const auto back = sides.find({side.second, side.first});
    if (count != 1 || back == sides.end() || back->second != 1) return false;
  }
  return true;
}

TopoDS_Shape moved(const TopoDS_Shape& shape, const gp_Trsf& motion) {
  return BRepBuilderAPI_Transform(shape, motion).Shape();
}

constexpr double mm3 = 1e-9, mm2 = 1e-6, pi = std::numbers::pi;

}  // namespace

TEST_CASE("a STEP box has its exact volume and is closed", "[io]") {
  const StepSurface read = read_text(step_text(BRepPrimAPI_MakeBox(100, 50, 2).Shape()));
  CHECK(read.unit == "mm");
  CHECK(read.shell.points.size() == 8);
  CHECK(enclosed_volume(read.shell) == Approx(10000 * mm3).epsilon(1e-12));
  CHECK(is_closed(read.shell));
}

TEST_CASE("round STEP bodies come near to their volumes as the tolerance falls", "[io]") {
  const gp_Ax2 upright(gp_Pnt(5, 7, 1), gp_Dir(0, 0, 1));
  const std::vector<std::pair<TopoDS_Shape, double>> bodies = {
      {BRepPrimAPI_MakeCylinder(upright, 5, 3).Shape(), pi * 25 * 3},
      {BRepPrimAPI_MakeSphere(gp_Pnt(0, 0, 0), 6).Shape(), 4.0 / 3.0 * pi * 216},
      {BRepPrimAPI_MakeCone(upright, 2.5, 1.5, 40).Shape(),
       pi * 40 / 3 * (2.5 * 2.5 + 2.5 * 1.5 + 1.5 * 1.5)}};
  for (const auto& [body, exact] : bodies) {
    CHECK(volume_of(body) == Approx(exact).epsilon(1e-6));
    const std::string text = step_text(body);
    double last = 1.0;
    for (const double tolerance : {0.1e-3, 0.025e-3, 0.00625e-3}) {
      const Shell shell = read_text(text, tolerance).shell;
      CHECK(is_closed(shell));
      const double off = std::abs(enclosed_volume(shell) / (exact * mm3) - 1.0);
      CHECK(off < last);
      last = off;
    }
    CHECK(last < 0.004);
  }
}

TEST_CASE("a fused, turned and mirrored STEP body keeps the modeller's volume and area", "[io]") {
  const TopoDS_Shape plate = BRepPrimAPI_MakeBox(gp_Pnt(-20, -10, 0), 40, 20, 1.5).Shape();
  const TopoDS_Shape boss =
      BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(4, 2, 0), gp_Dir(0, 0, 1)), 4, 5);
  const TopoDS_Shape fused = BRepAlgoAPI_Fuse(plate, boss).Shape();
  gp_Trsf turn, mirror;
  turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(1, 2, 3)), 0.7);
  mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0)));
  for (const TopoDS_Shape& body :
       {fused, moved(fused, turn), moved(fused, mirror), fused.Located(TopLoc_Location(turn))}) {
    const Shell shell = read_text(step_text(body), 0.002e-3).shell;
    CHECK(is_closed(shell));
    CHECK(enclosed_volume(shell) == Approx(volume_of(fused) * mm3).epsilon(2e-4));
    CHECK(area_of(shell) == Approx(area_of(fused) * mm2).epsilon(2e-4));
  }
}

TEST_CASE("the unit of a STEP file is its own", "[io]") {
  const ScratchFolder scratch("step-unit");
  const TopoDS_Shape box = BRepPrimAPI_MakeBox(100, 50, 2).Shape();
  const std::vector<std::array<const char*, 2>> units = {
      {"MM", "mm"}, {"INCH", "in"}, {"M", "m"}, {"CM", "cm"}};
  for (const auto& [written, symbol] : units) {
    const auto file = scratch.path() / "box.step";
    write_step(box, file, written);
    const SolidFile solid = read_solid_file(file);
    CHECK(solid.unit == symbol);
    CHECK(enclosed_volume(solid.shell) == Approx(10000 * mm3).epsilon(1e-9));
  }
  SolidFileOptions options;
  options.unit = "in";
  CHECK_THROWS_WITH(read_solid_file(scratch.path() / "box.step", options),
                    Catch::Contains("its unit is cm"));
}

TEST_CASE("a STEP file that refers to nothing is refused instead of ending the program", "[io]") {
  const std::string text = step_text(BRepPrimAPI_MakeBox(100, 50, 2).Shape());
  for (const char* entity :
       {"CARTESIAN_POINT", "VERTEX_POINT", "PLANE", "EDGE_LOOP", "CLOSED_SHELL"}) {
    // The definition is there, but it is one of another kind.
    std::string damaged = text;
    for (std::size_t at = 0;
         (at = damaged.find(std::string("= ") + entity, at)) != std::string::npos; ++at)
      damaged.replace(at + 2, std::string(entity).size(), "DIRECTION");
    INFO(entity);
    CHECK_THAT(fault_of(damaged), Catch::Contains("frame.step: "));
  }
}

TEST_CASE("damaged STEP files are refused", "[io]") {
  const std::string text = step_text(BRepPrimAPI_MakeBox(100, 50, 2).Shape());
  CHECK_THAT(fault_of(text.substr(0, text.size() / 2)), Catch::Contains("cut off"));
  CHECK_THAT(fault_of(""), Catch::Contains("no STEP file"));
  CHECK_THAT(fault_of("solid box\nendsolid box\n"), Catch::Contains("no STEP file"));
  CHECK_THAT(fault_of("ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"),
             Catch::Contains("frame.step: "));
  CHECK_THAT(fault_of("ISO-10303-21;\nEND-ISO-10303-21;\n"), Catch::Contains("frame.step: "));
}
