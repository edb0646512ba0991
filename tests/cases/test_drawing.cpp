// The harbour tug from its drawing against the same frame from its layout.
#include <filesystem>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/build_setup.hpp"
#include "io/case.hpp"
#include "io/summary.hpp"
#include "solver/whole/run_case.hpp"

using namespace firstshot;

namespace {

const std::filesystem::path cases = std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases";

BuiltSetup built(const std::string& name) {
  Case c = read_case(cases / name / "case.toml");
  set_accuracy_level(c, "preview");
  return build_setup(c, CardFolders{{cases / "materials"}, {cases / "presses"}});
}

nlohmann::json summary_of(const std::string& name) {
  const BuiltSetup setup = built(name);
  return nlohmann::json::parse(summary_json(setup.setup, run_case(setup.setup), {}));
}

nlohmann::json part_of(const nlohmann::json& summary, const std::string& name) {
  for (const auto& part : summary["parts"]) {
    if (part["name"].get<std::string>() == name) return part;
  }
  FAIL("no part " << name);
  return {};
}

}  // namespace

// The drawing has four decimals and lines that stop 0.02 mm short, whose gaps are closed in the
// middle: that moves corners by 0.01 mm, on the smallest parts 0.06 % of the volume. Asked for by
// the trade is 0.5 % of volume, 5 % of time, 8 % of pressure; measured 0.064 %, 1.1 %, 0.03 %:
// times carry the tolerance of the steps.
TEST_CASE("the tug fills alike from its drawing and from its layout", "[case][dxf][slow]") {
  const nlohmann::json layout = summary_of("harbour-tug");
  const nlohmann::json drawing = summary_of("harbour-tug-dxf");
  REQUIRE(drawing["parts"].size() == layout["parts"].size());
  for (const auto& part : layout["parts"]) {
    const nlohmann::json other = part_of(drawing, part["name"].get<std::string>());
    INFO(part["name"].get<std::string>());
    CHECK(other["volume_mm3"].get<double>() ==
          Approx(part["volume_mm3"].get<double>()).epsilon(1e-3));
    CHECK(other["nearly_full_s"].get<double>() ==
          Approx(part["nearly_full_s"].get<double>()).epsilon(2e-2));
    // The last corner of a part is booked with the step in which it fills.
    constexpr double step = 0.015;  // [s], of 48 equal volumes
    CHECK(other["full_s"].get<double>() ==
          Approx(part["full_s"].get<double>()).epsilon(5e-3).margin(step));
  }
  const double pressure = layout["fill"]["peak_pressure_MPa"].get<double>();
  CHECK(drawing["fill"]["peak_pressure_MPa"].get<double>() == Approx(pressure).epsilon(5e-3));
}

TEST_CASE("the drawing of the tug says what was repaired", "[case][dxf]") {
  const Case c = read_case(cases / "harbour-tug-dxf" / "case.toml");
  REQUIRE(c.notes.size() == 2);
  CHECK_THAT(c.notes[1],
             Catch::Contains("Closed 11 gaps") && Catch::Contains("largest is 0.02 mm"));
  const Case layout = read_case(cases / "harbour-tug" / "case.toml");
  CHECK(c.layout.areas.size() == layout.layout.areas.size());
  CHECK(c.layout.runners.size() == layout.layout.runners.size());
  CHECK(c.layout.gates.size() == layout.layout.gates.size());
}
