#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/summary.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/io/schema_breach.hpp"

using namespace firstshot;
using nlohmann::json;

namespace {

std::string breach(const json& value, const json& schema) {
  return firstshot::test::schema_breach(value.dump(), schema.dump());
}

json schema() {
  return json::parse(
      sample::read_text(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/summary.schema.json"));
}

const RunFigures run{"1.2.3", 2, 1.5, 100.0};

json summary(const Setup& setup, const Result& result) {
  return json::parse(summary_json(setup, result, run));
}
json summary(Outcome outcome) {
  const Setup setup = sample::setup();
  return summary(setup, sample::result(setup, 3, outcome));
}

}  // namespace

TEST_CASE("every summary keeps to its schema", "[io][summary]") {
  for (const Outcome outcome : {Outcome::filled, Outcome::pressure_limit, Outcome::frozen,
                                Outcome::time_limit, Outcome::interrupted})
    CHECK(breach(summary(outcome), schema()).empty());
  const Setup bare = sample::setup(false);
  CHECK(breach(summary(bare, sample::result(bare, 3, Outcome::filled)), schema()).empty());
}

TEST_CASE("the check against the schema sees missing, unknown and wrong values", "[io][summary]") {
  const json good = summary(Outcome::frozen);
  const auto changed = [&](const char* pointer, const json& value) {
    json out = good;
    out[json::json_pointer(pointer)] = value;
    return breach(out, schema());
  };
  CHECK(changed("/fill/time_s", "soon") == "/fill/time_s: type");
  CHECK(changed("/fill/more", 1) == "/fill/more: unknown");
  CHECK(changed("/parts/0/side", "north") == "/parts[]/side: not in the list");
  CHECK(changed("/run/threads", 0) == "/run/threads: too small");
  CHECK(changed("/schema_version", 2) == "/schema_version: other value");
  json less = good;
  less["balance"].erase("mass_top_g");
  CHECK(breach(less, schema()) == "/balance/mass_top_g: missing");
}

TEST_CASE("numbers are in the unit of their key and what was not reached is null",
          "[io][summary]") {
  const json out = summary(Outcome::pressure_limit);
  CHECK(out["title"] == sample::odd_name);
  CHECK(out["fill"]["outcome"] == "pressure_limit");
  CHECK(out["fill"]["time_s"].is_null());
  CHECK(out["fill"]["switch_over_time_s"].is_null());
  CHECK(out["fill"]["peak_pressure_MPa"] == 90.0);
  const json& near = out["parts"][0];
  CHECK(near["name"] == sample::odd_name);
  CHECK(near["volume_mm3"] == 230.0);
  CHECK(near["mass_g"] == 0.23);
  CHECK(near["full_s"] == 0.25);
  CHECK(near["nearly_full_s"] == 0.24);
  CHECK(near["order"] == 1);
  CHECK(near["side"] == "right");
  const json& far = out["parts"][1];
  CHECK(far["nearly_full_s"].is_null());
  CHECK((far["first_melt_s"].is_null() && far["full_s"].is_null() && far["order"].is_null()));
  CHECK(far["side"] == "left");
  CHECK(out["gates"][0]["width_mm"] == 1.0);
  CHECK(out["gates"][0]["pressure_loss_MPa"] == 5.0);
  CHECK(out["balance"]["fill_time_spread_s"].is_null());
  CHECK(out["run"]["nodes"] == 10);
  CHECK(out["run"]["elements"] == 7);
}

TEST_CASE("short parts are listed with what is missing and why", "[io][summary]") {
  const auto cause = [](Outcome outcome) { return summary(outcome)["short_shots"].at(0)["cause"]; };
  CHECK(cause(Outcome::pressure_limit) == "pressure");
  CHECK(cause(Outcome::frozen) == "freezing");
  CHECK(cause(Outcome::time_limit) == "time");
  CHECK(cause(Outcome::interrupted) == "interrupted");
  const json list = summary(Outcome::frozen)["short_shots"];
  REQUIRE(list.size() == 1);
  CHECK(list[0]["part"] == "far");
  CHECK(list[0]["unfilled_mm3"] == 25.0);  // three quarters of 100/3 mm³
}

TEST_CASE("pressure and clamp force carry the range of the viscosity's doubt, up to the limit",
          "[io][summary]") {
  const json out = summary(Outcome::pressure_limit);
  CHECK(out["fill"]["peak_pressure_MPa_low"] == 67.5);
  CHECK(out["fill"]["peak_pressure_MPa_high"] == 100.0);
  CHECK(out["clamp"]["peak_kN"] == 20.0);
  CHECK(out["clamp"]["peak_kN_low"] == 15.0);
  CHECK(out["clamp"]["peak_kN_high"].get<double>() == Approx(20.0 * 100.0 / 90.0));
}

TEST_CASE("a pressure that the case prescribes has no range", "[io][summary][limit]") {
  Setup setup = sample::setup();
  setup.process.constant_pressure = 90e6;
  const json out = summary(setup, sample::result(setup, 3, Outcome::filled));
  CHECK(out["fill"]["peak_pressure_MPa_low"] == 90.0);
  CHECK(out["fill"]["peak_pressure_MPa_high"] == 90.0);
}

TEST_CASE("weights on both sides of the injection point add up to the shot",
          "[io][summary][balance]") {
  const json out = summary(Outcome::filled);
  const double shot = out["shot"]["mass_at_melt_density_g"];
  const json& balance = out["balance"];
  CHECK(balance["mass_left_g"].get<double>() + balance["mass_right_g"].get<double>() ==
        Approx(shot));
  CHECK(balance["mass_top_g"].get<double>() + balance["mass_bottom_g"].get<double>() ==
        Approx(shot));
  CHECK(balance["mass_right_g"] > balance["mass_left_g"]);
}

TEST_CASE("text that is not UTF-8 still gives valid JSON", "[io][summary][limit]") {
  Setup setup = sample::setup();
  setup.title = "broken \xff name";
  const json out = summary(setup, sample::result(setup, 3, Outcome::filled));
  CHECK(out["title"] == "broken \xEF\xBF\xBD name");
}

TEST_CASE("the memory of this process is more than a megabyte", "[io][summary]") {
  CHECK(peak_memory_MB() > 1.0);
  CHECK(peak_memory_MB() < 1e6);
}
