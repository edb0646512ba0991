#include <catch2/catch.hpp>

#include "tests/cli/small_case.hpp"
#include "tools/cli/case_job.hpp"

using namespace firstshot;

namespace {

CaseRecord record_of(const std::string& text) {
  Cards cards;
  cards.material.viscosity = Newtonian{100.0, 0.0, 493.15};
  cards.material.melt_temperature_min = cards.material.mould_temperature_min = 283.15;
  cards.material.melt_temperature_max = cards.material.mould_temperature_max = 553.15;
  return case_record(build_setup(read_case_text(text, "case.toml", ""), cards));
}

const char* const kInches = R"([layout]
unit = "in"
[[layout.part]]
name = "disc"
thickness = "2 mm"
circle = { centre = [0, 0], diameter = "1.2 in" }
[injection]
at = [0, 0]
[material]
card = "none"
[process]
fill_time = "0.5 s"
)";

}  // namespace

TEST_CASE("result files carry the coordinates of the input, whatever its unit", "[cli]") {
  CHECK(record_of(test::small_case()).unit_length == 1e-3);
  const CaseRecord inches = record_of(kInches);
  CHECK(inches.unit_length == Approx(25.4e-3).epsilon(1e-15));
  CHECK_THAT(inches.resolved_text, Catch::Contains("[geometry]\nunit = \"in\"\n"));
}

TEST_CASE("the line that goes on with a run carries what changed its case", "[cli]") {
  CaseOptions options;
  options.case_file = "tug/case.toml";
  CHECK(resume_command(options, "tug.results") ==
        "firstshot run tug/case.toml --resume -o tug.results");
  options.case_file = "Anna's tug/case.toml";
  options.accuracy = "preview";
  options.changes = {"process.fill_time=0.5 s"};
  CHECK(resume_command(options, "a b") ==
        "firstshot run 'Anna'\\''s tug/case.toml' --resume -o 'a b' --accuracy preview --set "
        "'process.fill_time=0.5 s'");
}
