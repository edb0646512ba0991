// Values given beside a case file: --set and the axes of sweeps.
#include <cmath>
#include <vector>

#include <catch2/catch.hpp>

#include "io/case.hpp"
#include "io/case_override.hpp"
#include "tests/cli/small_case.hpp"
#include "tests/refusal.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

TomlNode changed(const std::vector<CaseOverride>& changes) {
  TomlFile file = TomlFile::parse(small_case(), "small.toml");
  apply_overrides(file, changes);
  return file.root();
}

std::string refusal(const std::string& text) {
  return refusal_of([&] { changed({override_from(text)}); });
}

}  // namespace

TEST_CASE("a value given beside the file stands in for the one of the file", "[io][override]") {
  const TomlNode root = changed({{"process.melt_temperature", "231 degC"},
                                 {"layout.gate[g-small].width", "0.9 mm"},
                                 {"layout.gate[1].depth", "0.7 mm"},
                                 {"accuracy.layers", "9"},
                                 {"process.isothermal", "true"}});
  CHECK(root.find("process")->find("melt_temperature")->text == "231 degC");
  CHECK(root.find("process")->find("fill_time")->text == "0.5 s");
  const std::vector<TomlNode>& gates = root.find("layout")->find("gate")->items;
  CHECK(gates[1].find("width")->text == "0.9 mm");
  CHECK(gates[0].find("width")->text == "1.2 mm");
  CHECK(gates[0].find("depth")->text == "0.7 mm");
  CHECK(root.find("accuracy")->find("layers")->number == 9.0);
  CHECK(root.find("process")->find("isothermal")->flag);
}

TEST_CASE("a value takes the place of those that exclude it", "[io][override]") {
  const TomlNode root = changed({{"process.injection_speed", "20 cm3/s"}});
  CHECK(root.find("process")->find("fill_time") == nullptr);
  CHECK(root.find("process")->find("injection_speed")->text == "20 cm3/s");
  const TomlNode profile = changed({{"process.speed_profile", R"([["0 %", "40 cm3/s"]])"}});
  CHECK(profile.find("process")->find("fill_time") == nullptr);
  CHECK(profile.find("process")->find("speed_profile")->items.size() == 1);
}

TEST_CASE("two values that exclude each other are refused", "[io][override]") {
  TomlFile file = TomlFile::parse("[process]\nfill_time = \"1 s\"\n", "case.toml");
  const std::vector<CaseOverride> both = {{"process.fill_time", "0.5 s"},
                                          {"process.injection_speed", "5 cm3/s"}};
  CHECK_THROWS_WITH(apply_overrides(file, both), Catch::Contains("process.injection_speed") &&
                                                     Catch::Contains("process.fill_time"));
}

TEST_CASE("the number of a value is in SI", "[io][override]") {
  CHECK(override_number({"process.melt_temperature", "220 degC"}) == 493.15);
  CHECK(override_number({"process.entrance_length", "2.5"}) == 2.5);
  CHECK(std::isnan(override_number({"material.card", "hips-8"})));
}

TEST_CASE("what cannot be set is refused with what is allowed", "[io][override]") {
  CHECK_THAT(refusal("process.melt_temprature=220 degC"),
             Contains("nearest known key is \"process.melt_temperature\""));
  CHECK_THAT(refusal("process.melt_temperature=220"), Contains("process.melt_temperature"));
  CHECK_THAT(refusal("process.melt_temperature=220 mm"), Contains("temperature"));
  CHECK_THAT(refusal("process.melt_temperature=900 degC"), Contains("500 degC"));
  CHECK_THAT(refusal("process.isothermal=perhaps"), Contains("cannot be read"));
  CHECK_THAT(refusal("process"), Contains("KEY=VALUE"));
  CHECK_THAT(refusal("process=1"), Contains("a table"));
  CHECK_THAT(refusal("layout.gate.width=1 mm"), Contains("layout.gate[].width"));
  CHECK_THAT(refusal("layout.gate[g-smal].width=1 mm"), Contains("\"g-small\""));
  CHECK_THAT(refusal("layout.gate[3].width=1 mm"), Contains("1 to 2"));
  CHECK_THAT(refusal("vent[1].depth=20 um"), Contains("no list \"vent\""));
  CHECK_THAT(refusal("layout.gate[1.width=1 mm"), Contains("not closed"));
}

}  // namespace firstshot::test
