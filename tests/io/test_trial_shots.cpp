// Tables of trial shots: what is read, and what is refused, with its place.
#include <catch2/catch.hpp>

#include "io/trial_comparison.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/two_plates.hpp"
#include "tests/refusal.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

Trials read(const std::string& text) { return trials_from(parse_csv(text, "t.csv")); }

std::string refusal(const std::string& text) {
  return refusal_of<CaseError>([&] { read(text); });
}

BuiltSetup plates() {
  return build_setup(read_case_text(two_plates_layout() + R"([material]
card = "./grade.toml"
[process]
fill_time = "0.5 s"
)",
                                    "case.toml", {}),
                     plain_cards());
}

std::string comparison_refusal(const std::string& text) {
  return refusal_of<CaseError>([&] { compare_trials(read(text), plates().setup); });
}

const std::string good =
    "# invented\n"
    "shot,melt_temperature [degC],fill_time [s],peak_pressure [MPa],shot_weight [g],short_parts\n"
    "a,220,0.5,40,10,none\n"
    "b,220,0.5,42,,large + small\n"
    "\n"
    "c,230,0.5,,9.5,\n";

}  // namespace

TEST_CASE("a table of shots is read with units, remarks and empty cells", "[io][calibrate]") {
  const Trials t = read(good);
  REQUIRE(t.shots.size() == 3);
  CHECK(t.shots[0].name == "a");
  CHECK(t.shots[0].settings == std::vector<CaseOverride>{{"process.melt_temperature", "220 degC"},
                                                         {"process.fill_time", "0.5 s"}});
  REQUIRE(t.shots[0].numbers.size() == 2);
  CHECK(t.shots[0].numbers[0].value == Approx(40e6));
  CHECK(t.shots[0].numbers[1].value == Approx(10e-3));
  CHECK(t.shots[0].shorts->empty());
  CHECK(t.shots[1].numbers.size() == 1);
  REQUIRE(t.shots[1].shorts->size() == 2);
  CHECK((*t.shots[1].shorts)[1].text == "small");
  CHECK((*t.shots[1].shorts)[1].column == 23);
  CHECK(t.shots[2].row.line == 6);
  CHECK_FALSE(t.shots[2].shorts);
  CHECK_FALSE(t.scatter_given);
}

TEST_CASE("tables of spreadsheets are read: semicolons, decimal commas, quotes, a mark in front",
          "[io][calibrate]") {
  const Trials t = read(
      "\xEF\xBB\xBFshot;fill_time (s);\"peak_oil_pressure [bar]\";filled.large "
      "[%];note\r\n\"A \"\"x\"\"\";0,5;25,5;98;\"a; b\"\r\n");
  REQUIRE(t.shots.size() == 1);
  CHECK(t.shots[0].name == "A \"x\"");
  CHECK(t.shots[0].settings[0].value == "0.5 s");
  CHECK(t.shots[0].numbers[0].value == Approx(2.55e6));
  CHECK(t.shots[0].numbers[1].part == "large");
  CHECK(t.shots[0].numbers[1].value == Approx(0.98));
}

TEST_CASE("stroke, volume, holding and scatter become settings and scatters", "[io][calibrate]") {
  const Trials t = read(
      "stroke [mm],holding_pressure [MPa],holding_time [s],peak_pressure [MPa],peak_pressure_"
      "scatter [bar]\n12,0,2,40,8\n");
  CHECK(t.shots[0].settings ==
        std::vector<CaseOverride>{{"process.switch_over.position", "12 mm"},
                                  {"process.holding", "[[\"0 MPa\", \"2 s\"]]"}});
  CHECK(t.scatter_given);
  CHECK(t.shots[0].numbers[0].scatter.value() == Approx(0.8e6));
  const TrialComparison c = compare_trials(
      read("injected_volume [cm3],shot_weight [g]\n7.0685834705770345,10\n"), plates().setup);
  // 30 mm of screw: 10 mm of way are 2.25 π cm³.
  CHECK(parse_quantity(c.values[0][0], Dimension::length) == Approx(10e-3).epsilon(1e-9));
}

TEST_CASE("wrong tables are refused with line and column", "[io][calibrate]") {
  const std::string head = "fill_time [s],peak_pressure [MPa]\n";
  CHECK_THAT(refusal(""), Contains("the table is empty"));
  CHECK_THAT(refusal(head), Contains("t.csv:1:1") && Contains("no row"));
  CHECK_THAT(refusal("fill_tme [s],peak_pressure [MPa]\n1,2\n"),
             Contains("t.csv:1:1") && Contains("\"fill_time\""));
  CHECK_THAT(refusal("fill_time [s],peak_presure [MPa]\n1,2\n"),
             Contains("t.csv:1:15") && Contains("\"peak_pressure\""));
  CHECK_THAT(refusal("fill_time,peak_pressure [MPa]\n1,2\n"),
             Contains("unit is missing") && Contains("fill_time [s]"));
  CHECK_THAT(refusal("fill_time [mm],peak_pressure [MPa]\n1,2\n"), Contains("mm"));
  CHECK_THAT(refusal("process.entrance_length [mm],peak_pressure [MPa]\n1,2\n"),
             Contains("has no unit"));
  CHECK_THAT(refusal(head + "1,2,3\n"), Contains("t.csv:2:5") && Contains("3 cells"));
  CHECK_THAT(refusal(head + "1,x\n"), Contains("t.csv:2:3") && Contains("is no number"));
  CHECK_THAT(refusal(head + "1,1e999\n"), Contains("is no number"));
  CHECK_THAT(refusal(head + "1,nan\n"), Contains("is no number"));
  CHECK_THAT(refusal(head + "1,\"3,5\"\n"), Contains("is no number"));
  CHECK_THAT(refusal(head + "1,-2\n"), Contains("t.csv:2:3") && Contains("allowed"));
  CHECK_THAT(refusal(head + "-1,2\n"), Contains("t.csv:2:1") && Contains("process.fill_time"));
  CHECK_THAT(refusal(head + ",2\n"), Contains("t.csv:2:1") && Contains("fill_time is missing"));
  CHECK_THAT(refusal(head + "1,\n"), Contains("no shot has a number"));
  CHECK_THAT(refusal(head + "1,\"2\n"), Contains("t.csv:2:3") && Contains("not closed"));
  CHECK_THAT(refusal(head + "1,\"2\"3\n"), Contains("after the closing quote"));
  CHECK_THAT(refusal(head + std::string("1,\0\n", 4)), Contains("no text"));
  CHECK_THAT(refusal("fill_time [s],fill_time [s]\n1,2\n"), Contains("two columns"));
  CHECK_THAT(refusal("fill_time [s],process.fill_time [s]\n1,2\n"), Contains("two columns"));
  CHECK_THAT(refusal("fill_time [s],injection_speed [cm3/s],shot_weight [g]\n1,2,3\n"),
             Contains("t.csv:1:15") && Contains("contradicts the column fill_time"));
  CHECK_THAT(refusal("stroke [mm],injected_volume [cm3],shot_weight [g]\n1,2,3\n"),
             Contains("contradicts the column stroke"));
  CHECK_THAT(refusal("holding_pressure [MPa],shot_weight [g]\n1,2\n"), Contains("belong together"));
  CHECK_THAT(refusal("shot_weight [g],peak_pressure [MPa],shot_weight_scatter [g]\n1,2,3\n"),
             Contains("peak_pressure_scatter"));
  CHECK_THAT(refusal("shot_weight [g],peak_pressure_scatter [MPa]\n1,2\n"),
             Contains("no column peak_pressure") || Contains("shot_weight_scatter"));
  CHECK_THAT(refusal("filled. [%]\n1\n"), Contains("the part is missing"));
  CHECK_THAT(refusal(",shot_weight [g]\n1,2\n"), Contains("no name"));
  CHECK_THAT(comparison_refusal("filled.larg [%]\n40\n"),
             Contains("t.csv:2:1") && Contains("\"large\""));
  CHECK_THAT(comparison_refusal("shot,short_parts\na,large + deck\n"),
             Contains("t.csv:2:11") && Contains("no part \"deck\""));
  CHECK_THROWS_AS(read_trials("/nowhere/t.csv"), CaseError);
}

TEST_CASE("shots with equal settings count once, with the mean of what was seen",
          "[io][calibrate]") {
  const TrialComparison c = compare_trials(read(good), plates().setup);
  REQUIRE(c.values.size() == 2);
  CHECK(c.names[0] == std::vector<std::string>{"a", "b"});
  // Peak pressure and weight at 220 °C, two parts; weight at 230 °C.
  REQUIRE(c.items.size() == 5);
  CHECK(c.items[0].shots == 2);
  CHECK(std::exp(c.items[0].measured.value) == Approx(std::sqrt(40e6 * 42e6)));
  CHECK(c.items[0].measured.scatter == pressure_scatter);
  // Full in one shot, short in the next: at the edge.
  CHECK(c.items[2].measured.kind == MeasuredKind::number);
  CHECK(c.items[2].measured.value == looks_full);
  CHECK(c.items[4].setting == 1);
  CHECK(c.n_numbers() == 5);
}

TEST_CASE("a full part is a mark, a given scatter falls with the number of shots",
          "[io][calibrate]") {
  const TrialComparison marks =
      compare_trials(read("shot,filled.large [%],short_parts\na,100,small\n"), plates().setup);
  REQUIRE(marks.items.size() == 2);
  CHECK(marks.items[0].measured.kind == MeasuredKind::above);
  CHECK(marks.items[1].measured.kind == MeasuredKind::below);
  const TrialComparison given = compare_trials(
      read("shot_weight [g],shot_weight_scatter [g]\n10,0.2\n10,0.2\n10,0.2\n10,0.2\n"),
      plates().setup);
  CHECK(given.items[0].measured.scatter == Approx(0.01));
}

}  // namespace firstshot::test
