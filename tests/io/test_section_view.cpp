// What is written for the eye: the section view of `check` and the surface of a solid after a run.
#include <cmath>

#include <catch2/catch.hpp>
#include <vtkCellData.h>
#include <vtkDataArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPolyData.h>
#include <vtkSmartPointer.h>
#include <vtkStringArray.h>
#include <vtkUnstructuredGrid.h>

#include "io/atomic_file.hpp"
#include "io/found_gates.hpp"
#include "io/node_field_names.hpp"
#include "io/section_view.hpp"
#include "io/surface_vtp.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/io/stl_samples.hpp"
#include "tests/io/vtk_text.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
const CardFolders cards{{std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases" / "materials"},
                        {std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases" / "presses"}};

double number(vtkDataSetAttributes& data, const char* name, int i) {
  vtkDataArray* array = data.GetArray(name);
  REQUIRE(array != nullptr);
  return array->GetComponent(i, 0);
}

BuiltSetup two_cavities() {
  Case c = read_case(std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases/two-cavities/case.toml");
  set_accuracy_level(c, "preview");
  return build_setup(c, cards);
}

/// A plate 80 x 40 x 2 mm as a solid.
BuiltSetup plate(const std::filesystem::path& folder, const std::string& draw,
                 const std::string& at) {
  write_atomically(folder / "frame.stl", binary_stl(box_shell(80, 40, 2)));
  Case c = read_case_text("geometry = { solid = \"frame.stl\", unit = \"mm\", draw = " + draw +
                              " }\nmaterial = { card = \"hips-8\" }\n"
                              "process = { fill_time = \"0.5 s\" }\n"
                              "injection = { at = " +
                              at + ", diameter = \"4 mm\" }\n",
                          "case.toml", folder);
  set_accuracy_level(c, "preview");
  return build_setup(c, cards);
}

/// Box from one corner to the other, added to a shell; lengths in mm.
void add_box(Shell& all, const Point3& low, const Point3& high) {
  const auto first = static_cast<std::int32_t>(all.points.size());
  const Shell box = box_shell(high.x - low.x, high.y - low.y, high.z - low.z);
  for (const Point3& p : box.points) all.points.push_back({low.x + p.x, low.y + p.y, low.z + p.z});
  for (auto t : box.triangles) {
    for (auto& corner : t) corner += first;
    all.triangles.push_back(t);
  }
}

/// Arrival grows with the distance from the left side of the model, everything else is alike.
NodeFields fields_of(const Model& model) {
  NodeFields f;
  for_each_node_field(f, [&](const char*, const char*, NodeField<double>& field) {
    field = NodeField<double>(model.n_nodes(), 1.0);
  });
  for (std::size_t i = 0; i < model.n_nodes(); ++i)
    f.arrival_time[make_id<NodeId>(i)] = model.position[make_id<NodeId>(i)].x;
  return f;
}

}  // namespace

TEST_CASE("the cutter for a gate is the largest that passes through", "[io]") {
  const std::vector<double> cutters{6e-3, 3e-3, 1e-3, 0.5e-3, 0.3e-3};
  CHECK(cutter_for(1.2e-3, cutters) == 1e-3);
  CHECK(cutter_for(1.0e-3, cutters) == 1e-3);
  CHECK(cutter_for(0.9996e-3, cutters) == 1e-3);
  CHECK(cutter_for(0.99e-3, cutters) == 0.5e-3);
  CHECK(cutter_for(0.29e-3, cutters) == 0.0);
}

TEST_CASE("gates of a layout are listed with their sizes", "[io]") {
  const std::vector<GateSize> gates = gate_sizes(two_cavities());
  REQUIRE(gates.size() == 2);
  CHECK(gates[0].name == "g-long");
  CHECK(gates[0].part == "long");
  CHECK(gates[0].width == Approx(1.2 * mm));
  CHECK(gates[0].depth == Approx(0.8 * mm));
  CHECK(gates[0].length == Approx(1.0 * mm));
  CHECK(gates[0].cutter == Approx(1.0 * mm));
  CHECK(gates[0].at.x == Approx(-17 * mm));
}

TEST_CASE("the section view holds walls, channels and findings", "[io]") {
  const ScratchFolder scratch("section");
  const BuiltSetup built = two_cavities();
  write_section_view(built, scratch.path());
  const auto walls = sample::read_grid(sample::read_text(scratch.path() / "section" / "walls.vtu"));
  CHECK(walls->GetNumberOfCells() == static_cast<vtkIdType>(built.setup.model.thickness.size()));
  CHECK(number(*walls->GetCellData(), "thickness [mm]", 0) == Approx(1.5));
  CHECK(number(*walls->GetCellData(), "role id", 0) == 0);
  const auto channels =
      sample::read_lines(sample::read_text(scratch.path() / "section" / "channels.vtp"));
  CHECK(channels->GetNumberOfLines() == 5);
  const auto findings =
      sample::read_lines(sample::read_text(scratch.path() / "section" / "findings.vtp"));
  REQUIRE(findings->GetNumberOfPoints() == 2);
  CHECK(number(*findings->GetPointData(), "cutter [mm]", 0) == Approx(1.0));
  CHECK(findings->GetPoint(0)[0] == Approx(-17.0));
  CHECK_THAT(sample::read_text(scratch.path() / "section.pvd"),
             Catch::Contains("section/walls.vtu") && Catch::Contains("section/findings.vtp"));
}

TEST_CASE("the section view of a solid shows both of its surfaces", "[io]") {
  const ScratchFolder scratch("section-solid");
  const BuiltSetup built = plate(scratch.path(), "\"z\"", "[10, 20]");
  const auto walls = sample::read_grid(walls_vtu(built.setup.model, mm));
  CHECK(number(*walls->GetCellData(), "thickness [mm]", 0) == Approx(2.0).epsilon(1e-6));
  CHECK(number(*walls->GetPointData(), "lower surface [mm]", 0) == Approx(0.0).margin(1e-6));
  CHECK(number(*walls->GetPointData(), "upper surface [mm]", 0) == Approx(2.0).epsilon(1e-6));
  CHECK(walls->GetPoint(0)[2] == Approx(1.0).epsilon(1e-6));
}

TEST_CASE("the surface after a run lies where the input lies and carries the nearest values",
          "[io]") {
  const ScratchFolder scratch("surface");
  // Seen from below, one of the two axes in the plane points the other way.
  const std::vector<std::array<const char*, 2>> views = {{"\"z\"", "[10, 20]"},
                                                         {"\"-z\"", "[10, -20]"}};
  for (const auto& [draw, at] : views) {
    const BuiltSetup built = plate(scratch.path(), draw, at);
    const NodeFields fields = fields_of(built.setup.model);
    const auto surface = sample::read_lines(surface_vtp(built, fields));
    REQUIRE(surface->GetNumberOfPoints() > 500);
    double bounds[6];
    surface->GetBounds(bounds);
    CHECK(bounds[0] == Approx(0.0).margin(1e-6));
    CHECK(bounds[1] == Approx(80.0));
    CHECK(bounds[5] == Approx(2.0));
    // The field is the x of the model, so at each point it must be that of the point, to within an
    // element of 2 mm; the mouth of 4 mm is one node, so a point beside it may be off by half of
    // both.
    for (vtkIdType i = 0; i < surface->GetNumberOfPoints(); ++i) {
      double p[3];
      surface->GetPoint(i, p);
      const double x = built.solid->frame.into({p[0] * mm, p[1] * mm, p[2] * mm}).x / mm;
      CHECK(number(*surface->GetPointData(), "arrival time [s]", static_cast<int>(i)) / mm ==
            Approx(x).margin(3.1));
    }
  }
}

TEST_CASE("the surface of what is closed off has no values", "[io]") {
  const ScratchFolder scratch("surface-closed");
  Shell frame;
  add_box(frame, {0, -1.5, 0}, {60, 1.5, 3});
  add_box(frame, {0, 3, 0}, {20, 18, 1.2});
  add_box(frame, {9.5, 1, 0}, {10.5, 4, 0.6});
  add_box(frame, {38, -18, 0}, {58, -3, 1.2});
  add_box(frame, {47.5, -4, 0}, {48.5, -1, 0.6});
  write_atomically(scratch.path() / "frame.stl", binary_stl(frame));
  const auto blank = [&](const std::string& closed) {
    Case c = read_case_text(
        "geometry = { solid = \"frame.stl\", unit = \"mm\" }\n"
        "material = { card = \"hips-8\" }\n"
        "process = { fill_time = \"0.5 s\" }\n"
        "injection = { at = [30, 0], diameter = \"2 mm\" }\n" +
            closed,
        "case.toml", scratch.path());
    set_accuracy_level(c, "preview");
    const BuiltSetup built = build_setup(c, cards);
    const auto surface = sample::read_lines(surface_vtp(built, fields_of(built.setup.model)));
    int wrong = 0, count = 0;
    for (vtkIdType i = 0; i < surface->GetNumberOfPoints(); ++i) {
      double p[3];
      surface->GetPoint(i, p);
      const double x = number(*surface->GetPointData(), "arrival time [s]", static_cast<int>(i));
      if (std::isnan(x)) ++count;
      // The gate between 1.5 and 3 mm is on neither side.
      if (std::isnan(x) ? p[1] < 1.6 : !closed.empty() && p[1] > 3.1) ++wrong;
    }
    CHECK(wrong == 0);
    return count;
  };
  CHECK(blank("") == 0);
  CHECK(blank("[[closed]]\npart = \"part-1\"\n") > 100);
}
