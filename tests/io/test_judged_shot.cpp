#include <cmath>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/judged_shot.hpp"
#include "io/summary.hpp"
#include "tests/io/sample_run.hpp"

namespace firstshot::test {
namespace {

using Json = nlohmann::json;

Json filled_summary() {
  return {{"fill", {{"outcome", "filled"}, {"filled_fraction", 1.0}, {"peak_pressure_MPa", 41.0}}},
          {"clamp", {{"peak_kN", 250.0}}},
          {"short_shots", Json::array()},
          {"air_pockets", Json::array()},
          {"verdict", {{"findings", Json::array()}}}};
}

Json finding(const char* rule, double limit, const char* severity = "look") {
  return {{"rule", rule}, {"severity", severity}, {"limit", limit}, {"text", "so it is"}};
}

JudgedShot judged(const Json& summary) { return judged_shot(summary.dump()); }

}  // namespace

TEST_CASE("a full shot fails by the first rule of the verdict that it breaks", "[io][window]") {
  Json summary = filled_summary();
  CHECK(judged(summary).shot.kind == ShotClass::fills);
  CHECK(judged(summary).shot.pressure == 41.0);
  CHECK(judged(summary).shot.clamp == 250.0);
  CHECK(std::isnan(judged(summary).shot.gas_temperature));
  Json& findings = summary["verdict"]["findings"];
  findings.push_back(finding("one_piece_decides", 1.0));
  CHECK(judged(summary).shot.kind == ShotClass::fills);
  findings.push_back(finding("may_scorch", 350.0));
  CHECK(judged(summary).shot.kind == ShotClass::scorch);
  findings.push_back(finding("clamp_force", 540.0, "stop"));
  CHECK(judged(summary).shot.kind == ShotClass::over_clamp);
  CHECK(judged(summary).stop == "so it is");
  findings.push_back(finding("injection_pressure", 40.0));
  CHECK(judged(summary).shot.kind == ShotClass::over_pressure);
  CHECK(judged(summary).shot.limit == 40.0);
}

TEST_CASE("a shot that is not full is too cold or short by the cause of its largest rest",
          "[io][window]") {
  Json summary = filled_summary();
  summary["fill"]["outcome"] = "pressure_limit";
  summary["verdict"]["findings"].push_back(finding("injection_pressure", 40.0));
  CHECK(judged(summary).shot.kind == ShotClass::short_shot);
  Json& rests = summary["short_shots"];
  rests.push_back({{"unfilled_mm3", 5.0}, {"cause", "freezing"}});
  CHECK(judged(summary).shot.kind == ShotClass::too_cold);
  rests.push_back({{"unfilled_mm3", 50.0}, {"cause", "air"}});
  CHECK(judged(summary).shot.kind == ShotClass::short_shot);
  rests.push_back({{"unfilled_mm3", 500.0}, {"cause", "gate_frozen"}});
  CHECK(judged(summary).shot.kind == ShotClass::too_cold);
  // A channel that froze before any part began.
  summary["short_shots"] = Json::array();
  summary["fill"]["outcome"] = "frozen";
  CHECK(judged(summary).shot.kind == ShotClass::too_cold);
}

TEST_CASE("the hottest pocket counts, and a damaged summary is an error", "[io][window]") {
  Json summary = filled_summary();
  for (const double hot : {90.0, 410.0, 200.0})
    summary["air_pockets"].push_back({{"peak_temperature_C", hot}});
  CHECK(judged(summary).shot.gas_temperature == 410.0);
  CHECK_THROWS_AS(judged_shot("{\"fill\": 1}"), Error);
  CHECK_THROWS_AS(judged_shot("no JSON"), Error);
}

TEST_CASE("what the program writes can be judged", "[io][window]") {
  const Setup setup = sample::setup();
  const Result result = sample::result(setup, 3, Outcome::pressure_limit);
  const JudgedShot shot = judged_shot(summary_json(setup, result, {"1", 1, 1.0, 1.0}));
  CHECK_FALSE(shot.shot.good());
  CHECK(shot.shot.pressure == Approx(result.peak_pressure / 1e6));
  CHECK(shot.filled == Approx(result.filled_fraction));
}

}  // namespace firstshot::test
