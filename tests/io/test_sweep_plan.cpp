// Axes over case keys → runs.
#include <fstream>
#include <set>

#include <catch2/catch.hpp>

#include "io/sweep_plan.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/refusal.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

SweepPlan plan_of(const std::vector<std::string>& axes, SweepRequest request = {}) {
  request.case_file = "/tmp/case.toml";
  for (const std::string& text : axes) request.axes.push_back(axis_from(text));
  return make_plan(request);
}

std::string refusal(const std::vector<std::string>& axes, const SweepRequest& request = {}) {
  return refusal_of([&] { plan_of(axes, request); });
}

std::string file_refusal(const std::string& text) {
  const ScratchFolder folder("sweep-refusal");
  std::ofstream(folder.path() / "s.toml") << text;
  return refusal_of([&] { make_plan(read_sweep_file(folder.path() / "s.toml")); });
}

}  // namespace

TEST_CASE("a grid takes every combination, the last axis fastest", "[io][sweep]") {
  const SweepPlan plan =
      plan_of({"process.melt_temperature=200 degC..240 degC:3", "process.fill_time=0.5 s, 0.25 s"});
  REQUIRE(plan.size() == 6);
  using Row = std::vector<std::string>;
  CHECK(plan.values[0] == Row{"200 degC", "0.5 s"});
  CHECK(plan.values[1] == Row{"200 degC", "0.25 s"});
  CHECK(plan.values[2] == Row{"220 degC", "0.5 s"});
  CHECK(plan.values[5] == Row{"240 degC", "0.25 s"});
  CHECK(plan.changes(3) == std::vector<CaseOverride>{{"process.melt_temperature", "220 degC"},
                                                     {"process.fill_time", "0.25 s"}});
}

TEST_CASE("a range goes up by equal differences or equal factors", "[io][sweep]") {
  const SweepPlan even = plan_of({"process.entrance_length=0..3:4"});
  CHECK(even.values[1][0] == "1");
  const SweepPlan ratio = plan_of({"process.injection_speed=10 cm3/s..40 cm3/s:3 ratio"});
  CHECK(parse_quantity(ratio.values[1][0], Dimension::flow_rate) == Approx(20e-6).epsilon(1e-9));
  const SweepPlan whole = plan_of({"accuracy.layers=8..12:3"});
  CHECK(whole.values[1][0] == "10");
}

TEST_CASE("axes side by side need equal lengths", "[io][sweep]") {
  SweepRequest request;
  request.combine = SweepCombination::list;
  const SweepPlan plan =
      plan_of({"process.fill_time=0.5 s, 0.25 s", "process.entrance_length=2, 3"}, request);
  REQUIRE(plan.size() == 2);
  CHECK(plan.values[1] == std::vector<std::string>{"0.25 s", "3"});
  CHECK_THAT(refusal({"process.fill_time=0.5 s, 0.25 s", "process.entrance_length=2"}, request),
             Contains("1 values") && Contains("has 2"));
}

TEST_CASE("a Latin hypercube has one run in each slice of each axis", "[io][sweep]") {
  SweepRequest request;
  request.sample = 20;
  const SweepPlan plan =
      plan_of({"process.entrance_length=0..20", "material.card=hips-8, hips-12"}, request);
  REQUIRE(plan.size() == 20);
  std::set<int> slices;
  int first_card = 0;
  for (const auto& row : plan.values) {
    slices.insert(static_cast<int>(std::stod(row[0])));
    first_card += row[1] == "hips-8" ? 1 : 0;
  }
  CHECK(slices.size() == 20);
  CHECK(first_card == 10);
  request.seed = 2;
  CHECK(
      plan_of({"process.entrance_length=0..20", "material.card=hips-8, hips-12"}, request).values !=
      plan.values);
}

TEST_CASE("a sweep file says the same as the command line", "[io][sweep]") {
  const ScratchFolder folder("sweep-file");
  const std::filesystem::path file = folder.path() / "s.toml";
  std::ofstream(file) << R"(case = "tug.toml"
accuracy = "preview"
[[axis]]
key = "process.melt_temperature"
from = "200 degC"
to = "240 degC"
points = 3
[[axis]]
key = "accuracy.layers"
values = [8, 10]
)";
  CHECK(is_sweep_file(file));
  const SweepPlan plan = make_plan(read_sweep_file(file));
  CHECK(plan.case_file == folder.path() / "tug.toml");
  CHECK(plan.accuracy == "preview");
  CHECK(plan.values ==
        plan_of({"process.melt_temperature=200 degC..240 degC:3", "accuracy.layers=8, 10"}).values);
  CHECK(plan_text(plan_from(plan_text(plan), "plan")) == plan_text(plan));
}

TEST_CASE("axes that make no sense are refused with what is allowed", "[io][sweep]") {
  CHECK_THAT(refusal({"process.melt_temprature=200 degC..240 degC:3"}),
             Contains("\"process.melt_temperature\""));
  CHECK_THAT(refusal({"process.melt_temperature=240 degC..200 degC:3"}), Contains("above"));
  CHECK_THAT(refusal({"process.melt_temperature=200..240:3"}), Contains("200"));
  CHECK_THAT(refusal({"process.melt_temperature=200 degC..900 degC:3"}), Contains("500 degC"));
  CHECK_THAT(refusal({"process.melt_temperature=200 degC..240 degC"}), Contains("points"));
  CHECK_THAT(refusal({"process.melt_temperature=200 degC..240 degC:1"}), Contains("2 and more"));
  CHECK_THAT(refusal({"process.entrance_length=0..3:3 ratio"}), Contains("above 0"));
  CHECK_THAT(refusal({"material.card=a..b:2"}), Contains("list the values"));
  CHECK_THAT(refusal({"process.fill_time"}), Contains("no axis"));
  CHECK_THAT(refusal({}), Contains("needs an axis"));
  CHECK_THAT(refusal({"process.fill_time=1 s", "process.fill_time=2 s"}), Contains("two axes"));
  CHECK_THAT(refusal({"process.fill_time=0.1 s..1 s:999", "process.entrance_length=0..3:999"}),
             Contains("100000"));
  CHECK_THAT(file_refusal("case = \"a\"\n[[axis]]\nkey = \"process.fil_time\"\nvalues = [\"1 s\"]"),
             Contains("s.toml:3") && Contains("process.fill_time"));
  CHECK_THAT(
      file_refusal("case = \"a\"\n[[axis]]\nkey = \"process.fill_time\"\nvalues = [\"1 m\"]"),
      Contains("s.toml:4"));
  CHECK_THAT(file_refusal("case = \"a\"\n[[axis]]\nkey = \"process.fill_time\""),
             Contains("either values, or from and to"));
  CHECK_THAT(file_refusal("case = \"a\"\naxes = 1"), Contains("axis"));
  CHECK_THROWS_AS(plan_from("{}", "plan.json"), Error);
}

}  // namespace firstshot::test
