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

/// A thin strip that stays short from its one gate; a runner passes farther along.
std::string short_strip(const std::string& more = "") {
  return R"([layout]
unit = "mm"
sprue = { at = [0, 0], length = "20 mm", nozzle_diameter = "3 mm", foot_diameter = "4 mm" }
[[layout.runner]]
name = "along"
points = [[0, 0], [75, 0]]
section = { kind = "round", diameter = "4 mm" }
[[layout.part]]
name = "strip"
)" + more +
         R"(thickness = "0.8 mm"
polygon = [[5, 4], [105, 4], [105, 12], [5, 12]]
[[layout.gate]]
name = "g"
from = [8, 0]
to = [8, 4]
width = "2 mm"
depth = "0.6 mm"
[material]
card = "hips-8"
[press]
card = "press-60t"
[process]
fill_time = "0.8 s"
injection_pressure_max = "60 MPa"
holding = [["60 MPa", "2 s"]]
)" + coarse;
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

}  // namespace firstshot::test
