// `firstshot balance` as a user starts it.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"
#include "tests/cli/small_case.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
using nlohmann::json;
namespace fs = std::filesystem;

json json_of(const fs::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return json::parse(text.str());
}

const std::string coarse = R"([accuracy]
level = "preview"
element_size = "4 mm"
layers = 6
volume_steps = 24
)";

std::vector<std::string> balance(const std::string& file, const fs::path& out,
                                 std::vector<std::string> further = {}) {
  std::vector<std::string> arguments = {"balance", file, "-o", out.string(), "--quiet"};
  arguments.insert(arguments.end(), further.begin(), further.end());
  return arguments;
}

/// A strip 100 mm long with its one gate at one end; a runner passes along it. The tables up to
/// [process], which is left open.
std::string strip_along_runner(const std::string& runner_end, const std::string& runner_diameter,
                               const std::string& of_strip, const std::string& gate_depth,
                               const std::string& vents = "") {
  return R"([layout]
unit = "mm"
sprue = { at = [0, 0], length = "20 mm", nozzle_diameter = "3 mm", foot_diameter = "4 mm" }
[[layout.runner]]
name = "along"
points = [[0, 0], [)" +
         runner_end + R"(, 0]]
section = { kind = "round", diameter = ")" +
         runner_diameter + R"(" }
[[layout.part]]
name = "strip"
)" + of_strip +
         R"(polygon = [[5, 4], [105, 4], [105, 12], [5, 12]]
[[layout.gate]]
name = "g"
from = [8, 0]
to = [8, 4]
width = "2 mm"
depth = ")" +
         gate_depth + "\"\n" + vents + R"([material]
card = "hips-8"
[press]
card = "press-60t"
[process]
)";
}

/// A thin strip that stays short from its one gate.
std::string short_strip(const std::string& more = "") {
  return strip_along_runner("75", "4 mm", more + "thickness = \"0.8 mm\"\n", "0.6 mm") +
         R"(fill_time = "0.8 s"
injection_pressure_max = "60 MPa"
holding = [["60 MPa", "2 s"]]
)" + coarse;
}

/// Whether the summary of a run tells of air in the strip that cannot get out, or may scorch.
bool air_in_strip(const json& summary) {
  for (const json& pocket : summary["air_pockets"])
    if (pocket["part"] == "strip" && (pocket["trapped"] == true || pocket["may_scorch"] == true))
      return true;
  return false;
}

/// A strip that is vented in its middle only, so that its far end is blind.
std::string blind_strip(const std::string& air, const std::string& more = "") {
  return strip_along_runner("102", "5 mm", "thickness = \"1.5 mm\"\n", "1 mm", R"([[vent]]
at = [[60, 12]]
width = "20 mm"
depth = "0.03 mm"
[[vent]]
at = [[66, 4]]
width = "20 mm"
depth = "0.03 mm"
)") + R"(fill_time = "0.4 s"
[air]
)" + air +
         more + coarse;
}

}  // namespace

TEST_CASE("balance writes the new case, both runs and a list in words", "[cli][balance]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case() + coarse);
  const fs::path out = folder.path() / "out";
  const ProgramOutput p = run_program(balance(file, out, {"--target", "0.1"}));
  INFO(p.out << p.err);
  REQUIRE(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("spread falls from") && Contains("foretold") && Contains("target") &&
                        Contains("last corners"));
  const json answer = json_of(out / "balance.json");
  REQUIRE_FALSE(answer["changes"].empty());
  const double before = answer["before"]["nearly_full_spread_s"],
               after = answer["after"]["nearly_full_spread_s"];
  CHECK(after < 0.6 * before);
  CHECK(answer["changes"][0]["spread_before_s"] == before);
  CHECK(answer["changes"].back()["spread_after_s"].get<double>() == Approx(after));
  CHECK(json_of(out / "after/summary.json")["balance"]["nearly_full_spread_s"].get<double>() ==
        Approx(after));
  CHECK(fs::exists(out / "report.html"));
  // The new case is a case, and has the new sizes.
  const ProgramOutput check =
      run_program({"check", (out / "case.resolved.toml").string(), "--json"});
  CHECK(check.exit_code == 0);
}

TEST_CASE("without a size that is allowed the rule in the way is named", "[cli][balance]") {
  const TemporaryFolder folder;
  const std::string file =
      folder.file("a.toml", small_case() + coarse + "[cutters]\ndiameters = [\"30 mm\"]\n");
  const fs::path out = folder.path() / "out";
  const ProgramOutput p = run_program(balance(file, out, {"--target", "0.01", "--step", "10"}));
  INFO(p.out << p.err);
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("no change that is allowed helps") && Contains("not reached") &&
                        Contains("in the way") && Contains("no cutter and no step gives another"));
}

TEST_CASE("a further gate cures a short part, where the part may have one", "[cli][balance]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", short_strip());
  // Sizes cannot be balanced while a part stays short; the error says what to do.
  const ProgramOutput sizes = run_program(balance(file, folder.path() / "sizes"));
  CHECK(sizes.exit_code == 2);
  CHECK_THAT(sizes.err, Contains("\"strip\" stays short") && Contains("--gates"));
  const fs::path out = folder.path() / "out";
  const ProgramOutput p = run_program(balance(file, out, {"--gates"}));
  INFO(p.out << p.err);
  REQUIRE(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("add a gate") && Contains("it cures: strip stays short") &&
                        Contains("short parts    1 -> 0"));
  const json answer = json_of(out / "balance.json");
  CHECK(answer["reached"] == true);
  CHECK(answer["gates"][0]["to_y_mm"].get<double>() == Approx(4.0));
  CHECK(answer["gates"][0]["to_x_mm"].get<double>() > 20.0);  // towards what stayed short
  CHECK(json_of(out / "after/summary.json")["short_shots"].empty());
  // Not on a face that the customer sees.
  const std::string seen = folder.file("b.toml", short_strip("visible = true\n"));
  const ProgramOutput refused = run_program(balance(seen, folder.path() / "seen", {"--gates"}));
  CHECK(refused.exit_code == 0);
  CHECK_THAT(refused.out, Contains("in the way") && Contains("visible face"));
}

TEST_CASE("a further gate cures a trap, and a full run confirms it", "[cli][balance]") {
  const TemporaryFolder folder;
  // Sealed, the end stays short behind its air; with a leak it fills, and the air gets hot on its
  // way out. In the air that the fronts of two gates meet at the vents there is no such thing.
  const std::string sealed = "parting_line_gap = \"0 um\"\n",
                    hot = "parting_line_gap = \"2 um\"\nscorch_temperature = \"180 degC\"\n";
  for (const bool is_sealed : {true, false}) {
    const std::string file = folder.file("a.toml", blind_strip(is_sealed ? sealed : hot));
    const fs::path out = folder.path() / (is_sealed ? "sealed" : "hot");
    const ProgramOutput p = run_program(balance(file, out, {"--gates"}));
    INFO(p.out << p.err);
    REQUIRE(p.exit_code == 0);
    const json answer = json_of(out / "balance.json"),
               before = json_of(out / "before/summary.json"),
               after = json_of(out / "after/summary.json");
    CHECK(air_in_strip(before));
    CHECK(before["short_shots"].empty() == !is_sealed);
    CHECK(answer["before"]["fill_time_s"].is_null() == is_sealed);
    CHECK(answer["before"]["nearly_full_spread_s"].is_null());  // a single part
    CHECK(answer["after"]["fill_time_s"].get<double>() > 0.0);
    CHECK_FALSE(air_in_strip(after));
    CHECK(after["short_shots"].empty());
    CHECK(answer["reached"] == true);
    REQUIRE(answer["gates"].size() == 1);
    CHECK(answer["gates"][0]["to_x_mm"].get<double>() > 80.0);  // at the blind end
    CHECK(answer["before"]["air_caught"].get<int>() > 0);
    CHECK(answer["after"]["air_caught"] == 0);
    CHECK_THAT(p.out, Contains("it cures: ") && Contains("air is caught in strip at (105.0,") &&
                          Contains("-> 0 pockets"));
  }
}

TEST_CASE("a gate that the case cannot have is passed over, and the reason is given",
          "[cli][balance]") {
  const TemporaryFolder folder;
  // The best place is at the end of the runner, but a vent is there, and where a gate leaves is no
  // end.
  const std::string file = folder.file(
      "a.toml", blind_strip("parting_line_gap = \"0 um\"\n",
                            "[[vent]]\nat = [[102, 0]]\nwidth = \"2 mm\"\ndepth = \"0.03 mm\"\n"));
  const fs::path out = folder.path() / "out";
  const ProgramOutput p = run_program({"balance", file, "-o", out.string(), "--gates"});
  INFO(p.out << p.err);
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.err,
             Contains("a gate at (102.0, 4.0) mm on strip: not possible, ") && Contains("vent.at"));
  const json answer = json_of(out / "balance.json");
  // What is left is named, with a reason for each, or nothing is left.
  CHECK(answer["reached"].get<bool>() == answer["in_the_way"].is_null());
}

}  // namespace firstshot::test
