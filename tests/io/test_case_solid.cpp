// Cases whose geometry is a closed solid.
#include <algorithm>
#include <fstream>
#include <iterator>

#include <catch2/catch.hpp>

#include "io/atomic_file.hpp"
#include "io/build_setup.hpp"
#include "io/resolved_case.hpp"
#include "io/solid_file.hpp"
#include "mesh/error.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/full_cases.hpp"
#include "tests/io/stl_samples.hpp"

using namespace firstshot;

namespace {

const CardFolders cards{{std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases" / "materials"}, {}};

std::string smallest_case() {
  return R"(geometry = { solid = "frame.stl", unit = "mm" }
material = { card = "hips-8" }
process  = { fill_time = "0.5 s" }
)";
}

/// The same with a table [injection], since a box has no sprue.
std::string box_case() {
  return smallest_case() + "injection = { at = [10, 25], diameter = \"4 mm\" }\n";
}

void put_box(const std::filesystem::path& folder, double x = 100, double y = 50, double z = 2) {
  write_atomically(folder / "frame.stl", binary_stl(box_shell(x, y, z)));
}

std::string fault_of(const std::string& text, const std::filesystem::path& folder) {
  const auto e = error_of(text, folder);
  return e ? e->what() : "none";
}

}  // namespace

TEST_CASE("the smallest case from CAD has three lines", "[io]") {
  const ScratchFolder scratch("solid-three");
  put_box(scratch.path());
  const Case c = read_case_text(smallest_case(), "case.toml", scratch.path());
  REQUIRE(c.solid);
  CHECK(c.unit == "mm");
  CHECK(c.layout.areas.empty());
  CHECK_FALSE(c.solid->draw);
  CHECK_FALSE(c.solid->injection);
  CHECK(c.solid->undercut_tolerance == 0.0);
  CHECK(c.solid->tessellation == 0.01e-3);
  CHECK(enclosed_volume(c.solid->read->shell) == Approx(10000e-9));
  CHECK(c.cutters == std::vector<double>{6e-3, 3e-3, 1e-3, 0.5e-3, 0.3e-3, 0.2e-3});
}

TEST_CASE("draw, injection, marks and cutters of a solid are read", "[io]") {
  const ScratchFolder scratch("solid-keys");
  put_box(scratch.path());
  const Case c = read_case_text(solid_case(), "case.toml", scratch.path());
  CHECK(c.solid->draw->y == 0.5);
  CHECK(c.solid->draw->z == 2.0);
  CHECK(c.solid->injection->x == 3.3e-3);
  CHECK(c.solid->injection_diameter == 3e-3);
  CHECK(c.solid->undercut_tolerance == 0.3e-3);
  REQUIRE(c.solid->parts.size() == 2);
  CHECK(c.solid->parts[1].name == "other \"box\"");
  CHECK(c.solid->parts[0].inside.y == 0.2e-3);
  CHECK(c.solid->parts[0].visible);
  CHECK(c.cutters == std::vector<double>{6e-3, 1e-3, 0.254e-3});
  const std::string word = replaced(solid_case(), "[0, 0.5, 2]", "\"-y\"");
  CHECK(read_case_text(word, "case.toml", scratch.path()).solid->draw->y == -1.0);
}

TEST_CASE("coordinates of a case are in the unit of its solid, also a guessed one", "[io]") {
  const ScratchFolder scratch("solid-unit");
  put_box(scratch.path(), 7, 5, 0.1);
  const std::string text = replaced(solid_case(), "unit = \"mm\"\n", "");
  const Case c = read_case_text(text, "case.toml", scratch.path());
  CHECK(c.unit == "in");
  CHECK(c.solid->injection->x == Approx(3.3 * 25.4e-3));
  CHECK(c.solid->parts[1].inside.x == Approx(7 * 25.4e-3));
}

TEST_CASE("mistakes in the geometry of a solid are refused at their key", "[io]") {
  const ScratchFolder scratch("solid-faults");
  put_box(scratch.path());
  const auto changed = [&](const std::string& from, const std::string& to) {
    return fault_of(replaced(solid_case(), from, to), scratch.path());
  };
  CHECK_THAT(changed("frame.stl", "nofile.stl"),
             Catch::Contains("geometry.solid") && Catch::Contains("no such file"));
  CHECK_THAT(changed("frame.stl", "frame.iges"), Catch::Contains(".stl, .step or .stp"));
  CHECK_THAT(changed("unit = \"mm\"", "unit = \"um\""), Catch::Contains("is the unit right?"));
  CHECK_THAT(changed("[0, 0.5, 2]", "[0, 0, 0]"), Catch::Contains("no length"));
  CHECK_THAT(changed("[0, 0.5, 2]", "[0, 1]"), Catch::Contains("[x, y, z]"));
  CHECK_THAT(changed("[0, 0.5, 2]", "\"w\""), Catch::Contains("geometry.draw"));
  CHECK_THAT(changed("[\"1 mm\", \"6 mm\", \"0.01 in\"]", "[]"),
             Catch::Contains("cutters.diameters"));
  CHECK_THAT(changed("[\"1 mm\", \"6 mm\", \"0.01 in\"]", "[\"-1 mm\"]"),
             Catch::Contains("cutters.diameters"));
  CHECK_THAT(changed("other \\\"box\\\"", "box"), Catch::Contains("part[2].name"));
  CHECK_THAT(changed("at = [3.3, 4.7]\ndiameter = \"3 mm\"", "width = \"3 mm\""),
             Catch::Contains("injection.width") && Catch::Contains("needs injection.at"));
  CHECK_THAT(fault_of("layout = { unit = \"mm\" }\n" + solid_case(), scratch.path()),
             Catch::Contains("exactly one of"));
  CHECK_THAT(fault_of("[geometry]\nunit = \"mm\"\n" + full_process(), scratch.path()),
             Catch::Contains("missing") || Catch::Contains("exactly one of"));
  CHECK_THAT(fault_of(replaced(disc_case(), "[layout]", "[geometry]\ndraw = \"z\"\n[layout]"),
                      scratch.path()),
             Catch::Contains("geometry.draw") && Catch::Contains("only with geometry.solid"));
}

TEST_CASE("a solid becomes a setup with its volume, and says what it took for granted", "[io]") {
  const ScratchFolder scratch("solid-setup");
  put_box(scratch.path());
  Case c = read_case_text(box_case(), "case.toml", scratch.path());
  set_accuracy_level(c, "preview");
  const BuiltSetup built = build_setup(c, cards);
  double volume = 0.0;
  for (const double v : region_volumes(built.setup.model)) volume += v;
  CHECK(volume == Approx(10000e-9).epsilon(1e-3));
  CHECK(built.solid->frame.z.z == 1.0);
  CHECK(built.resolved.solid->draw->z == 1.0);
  CHECK(std::any_of(built.notes.begin(), built.notes.end(), [](const std::string& note) {
    return note.find("draw is taken along +z") != std::string::npos;
  }));
}

TEST_CASE("a vent on the rim of a solid lets its air out", "[io][air]") {
  const ScratchFolder scratch("solid-vent");
  put_box(scratch.path(), 40, 20, 2);
  const auto built = [&](const std::string& more) {
    Case c =
        read_case_text(smallest_case() + "injection = { at = [6, 10], diameter = \"4 mm\" }\n" +
                           "[air]\nparting_line_gap = \"0 um\"\n" + more,
                       "case.toml", scratch.path());
    set_accuracy_level(c, "preview");
    return build_setup(c, cards);
  };
  const auto vent = [](const std::string& at) {
    return "[[vent]]\nat = [[" + at + "]]\nwidth = \"4 mm\"\ndepth = \"20 um\"\n";
  };
  const auto highest = [](const BuiltSetup& b) {
    double pressure = 0.0;
    for (const AirPocketResult& pocket : run_case(b.setup).air_pockets)
      pressure = std::max(pressure, pocket.peak_pressure);
    return pressure;
  };
  const double vented = highest(built(vent("40, 10"))), sealed = highest(built(""));
  CHECK(sealed > 5e6);
  // The front reaches the vent in the middle of the end before it reaches the corners beside it.
  CHECK(vented < 0.5 * sealed);
  CHECK_THROWS_WITH(built(vent("30, 10")), Catch::Contains("from the nearest edge of a part"));
}

TEST_CASE("the resolved case of a solid takes its file along and gives the same bits", "[io]") {
  const ScratchFolder scratch("solid-resolved");
  put_box(scratch.path());
  Case c = read_case_text(box_case(), "case.toml", scratch.path());
  set_accuracy_level(c, "preview");
  const BuiltSetup built = build_setup(c, cards);
  const auto folder = scratch.path() / "results";
  std::filesystem::create_directories(folder);
  write_resolved_case(built, folder);
  std::filesystem::remove(scratch.path() / "frame.stl");
  const Case again = read_case(folder / kResolvedCaseName);
  CHECK(again.solid->read->fingerprint == c.solid->read->fingerprint);
  const BuiltSetup rebuilt = build_setup(again, cards);
  CHECK(resolved_case_text(rebuilt) == resolved_case_text(built));
  CHECK(rebuilt.setup.model.mesh.points == built.setup.model.mesh.points);
  CHECK(rebuilt.setup.model.thickness == built.setup.model.thickness);
  write_resolved_case(rebuilt, folder);  // onto itself
  CHECK(read_case(folder / kResolvedCaseName).solid->read->fingerprint ==
        c.solid->read->fingerprint);
}

TEST_CASE("every key of a solid case comes back from the resolved case", "[io]") {
  const ScratchFolder scratch("solid-keys-again");
  put_box(scratch.path());
  BuiltSetup built;
  built.resolved = read_case_text(solid_case(), "case.toml", scratch.path());
  built.resolved.accuracy = resolved_accuracy(built.resolved.accuracy);
  built.resolved.process.injection_pressure_max = 1e8;
  std::filesystem::rename(scratch.path() / "frame.stl", scratch.path() / "solid.resolved.stl");
  const std::string text = resolved_case_text(built);
  INFO(text);
  const Case again = read_case_text(text, kResolvedCaseName, scratch.path());
  const CaseSolid &a = *built.resolved.solid, &b = *again.solid;
  CHECK(b.draw->y == a.draw->y);
  CHECK(b.draw->z == a.draw->z);
  CHECK(b.undercut_tolerance == a.undercut_tolerance);
  CHECK(b.tessellation == a.tessellation);
  CHECK(b.injection == a.injection);
  CHECK(b.injection_diameter == a.injection_diameter);
  REQUIRE(b.parts.size() == 2);
  CHECK(b.parts[0].inside == a.parts[0].inside);
  CHECK(b.parts[0].visible);
  CHECK(b.parts[1].name == a.parts[1].name);
  CHECK(again.cutters == built.resolved.cutters);
}
