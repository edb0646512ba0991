#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "io/case_error.hpp"
#include "io/material_card.hpp"
#include "tests/io/card_samples.hpp"
#include "tests/refusal.hpp"
#include "tests/solver/sample_laws.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using firstshot::test::card_with;

namespace {

std::vector<std::string> card_names(const std::filesystem::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    names.push_back(entry.path().stem().string());
  return names;
}

const std::filesystem::path materials =
    std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases/materials";

Material shipped(const std::string& name) {
  return read_material_card(materials / (name + ".toml"));
}

const std::string newtonian = R"toml(law = "newtonian"
reference_viscosity = "500 Pa s"
reference_temperature = "220 degC"
temperature_coefficient = "0.01 1/K"
band = "0 %"
source = "test"
)toml";

Material parsed(const std::string& text) {
  return read_material_card(TomlFile::parse(text, "trial.toml"));
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

void check_same(const ViscosityLaw& card, const CrossWlf& sample) {
  const auto& law = std::get<CrossWlf>(card);
  CHECK(law.n == sample.n);
  CHECK(law.tau_star == sample.tau_star);
  CHECK(law.D1 == sample.D1);
  CHECK(law.D2 == sample.D2);
  CHECK(law.D3 == sample.D3);
  CHECK(law.A1 == sample.A1);
  CHECK(law.A2 == sample.A2);
}

}  // namespace

TEST_CASE("every material card that comes with the program is valid and names its sources",
          "[io][card]") {
  const auto names = card_names(materials);
  CHECK(names.size() >= 7);
  for (const std::string& name : names) {
    CAPTURE(name);
    const Material m = shipped(name);
    CHECK(m.name == name);
    CHECK_FALSE(m.grade.empty());
    // Reading refuses a number without a source; here that no source is a mere word.
    CHECK(m.sources.size() >= 4);
    for (const Material::Source& s : m.sources) CHECK(s.source.size() > 10);
    CHECK(m.viscosity_band >= 0.2);
    CHECK(m.no_flow_temperature > m.ejection_temperature);
    CHECK(m.no_flow_temperature < m.melt_temperature_min);
    // Effective diffusivity for cooling 8.0 to 9.5e-8 m²/s: from the handbook values of
    // polystyrene.
    const double cp = 0.5 * (m.heat_capacity.at(313.15) + m.heat_capacity.at(493.15));
    CHECK(m.conductivity / (m.density_melt * cp) == Approx(8.8e-8).epsilon(0.12));
    // Heat capacity of the melt after Gaur & Wunderlich, within the rounding of the points.
    for (const double T : {420.0, 493.15, 540.0})
      CHECK(m.heat_capacity.at(T) == Approx((0.27114 * T + 87.035) / 0.10415).epsilon(1e-3));
  }
}

TEST_CASE("the cards hold the laws that the solver is tested with", "[io][card]") {
  check_same(shipped("gpps-medium").viscosity, sample::gpps_medium());
  check_same(shipped("gpps-stiff").viscosity, sample::gpps_stiff());
  check_same(shipped("gpps-10").viscosity, sample::gpps_10());
  check_same(shipped("gpps-20").viscosity, sample::gpps_20());
  check_same(shipped("hips-base").viscosity, sample::hips_base());
  check_same(shipped("hips-8").viscosity, sample::hips_8());
  check_same(shipped("hips-12").viscosity, sample::hips_12());
}

TEST_CASE("the solid of the high-impact cards has 1040 kg/m³ at 23 °C, that of the others 1047",
          "[io][card]") {
  // Data sheets: 1030 to 1040 and 1050 kg/m³ (second-hand, unconfirmed).
  CHECK(1.0 / specific_volume(shipped("hips-8").pvt, 296.15, 0.0) == Approx(1040.0).epsilon(1e-3));
  CHECK(1.0 / specific_volume(shipped("gpps-10").pvt, 296.15, 0.0) == Approx(1047.4).epsilon(1e-4));
}

TEST_CASE("a missing no-flow temperature is where the zero-shear viscosity is 1e6 Pa s",
          "[io][card]") {
  CHECK(shipped("gpps-medium").no_flow_temperature - 273.15 == Approx(144.0).margin(0.5));
  CHECK(parsed(card_with(newtonian)).no_flow_temperature == 0.0);
  const std::string given = replaced(card_with(newtonian), "ejection_temperature",
                                     "no_flow_temperature = \"120 degC\"\nejection_temperature");
  CHECK(parsed(given).no_flow_temperature == Approx(393.15));
}

TEST_CASE("all laws can be written in a card", "[io][card]") {
  const Material n = parsed(card_with(newtonian));
  CHECK(viscosity(n.viscosity, 5.0, 493.15, 0.0) == Approx(500.0));
  CHECK(n.melt_flow_rate == 0.0);
  const Material p = parsed(card_with(R"toml(law = "power_law"
slope = 0.3
viscosity_at_unit_rate = "1.5e4 Pa s"
reference_temperature = "220 degC"
temperature_coefficient = "0.01 1/K"
band = "0 %"
source = "test"
)toml"));
  CHECK(viscosity(p.viscosity, 1.0, 493.15, 0.0) == Approx(1.5e4));
  const Material e = parsed(card_with(R"toml(law = "cross_exponential"
slope = 0.324
stress_at_thinning = "17.91 kPa"
reference_viscosity = "2.591e-7 Pa s"
activation_temperature = "11680 K"
pressure_coefficient = "0 1/GPa"
band = "30 %"
source = "test"
)toml"));
  CHECK(zero_shear_viscosity(e.viscosity, 493.15, 0.0) ==
        Approx(zero_shear_viscosity(sample::gpps_exponential(), 493.15, 0.0)));
}

TEST_CASE("a number without a source is refused with its place", "[io][card]") {
  const std::string none = replaced(newtonian, "source = \"test\"\n", "");
  CHECK_THROWS_WITH(parsed(card_with(none)),
                    Contains("viscosity.source") && Contains("needs its source"));
  const std::string partial =
      replaced(newtonian, "source = \"test\"\n", "[viscosity.source]\nband = \"test\"\n");
  CHECK_THROWS_WITH(parsed(card_with(partial)),
                    Contains("no source is given for reference_viscosity"));
  const std::string others = replaced(newtonian, "source = \"test\"\n",
                                      "[viscosity.source]\nband = \"guess\"\nother = \"test\"\n");
  const Material m = parsed(card_with(others));
  REQUIRE(m.sources.size() >= 4);
  CHECK(m.sources[0].quantity == "viscosity.reference_viscosity");
  CHECK(m.sources[3].quantity == "viscosity.band");
  CHECK(m.sources[3].source == "guess");
  const std::string stray = replaced(newtonian, "source = \"test\"\n",
                                     "[viscosity.source]\nbnad = \"guess\"\nother = \"test\"\n");
  CHECK_THROWS_WITH(parsed(card_with(stray)), Contains("bnad") && Contains("band"));
}

TEST_CASE("an unknown key in a card is refused with line, column and the nearest key",
          "[io][card]") {
  const std::string text = replaced(card_with(newtonian), "density_melt", "densty_melt");
  CHECK_THROWS_WITH(parsed(text), Contains("thermal"));
  const std::string more = replaced(
      card_with(newtonian), "conductivity =", "conductvity = \"1 W/(m K)\"\nconductivity =");
  const auto e = test::refused<CaseError>([&] { parsed(more); });
  REQUIRE(e);
  CHECK(e->line() == 13);
  CHECK(e->column() == 1);
  CHECK_THAT(e->reason(), Contains("conductivity"));
}

TEST_CASE("numbers that contradict each other are refused", "[io][card]") {
  const std::string good = card_with(newtonian);
  CHECK_THROWS_WITH(
      parsed(replaced(good, "[\"180 degC\", \"280 degC\"]", "[\"280 degC\", \"180 degC\"]")),
      Contains("valid.melt_temperature") && Contains("lower bound"));
  CHECK_THROWS_WITH(parsed(replaced(good, "\"80 degC\"", "\"190 degC\"")),
                    Contains("above the ejection temperature"));
  CHECK_THROWS_WITH(parsed(replaced(good, "\"27 degC\"", "\"230 degC\"")), Contains("must rise"));
  CHECK_THROWS_WITH(parsed(replaced(good, "\"500 Pa s\"", "\"5e-5 Pa s\"")),
                    Contains("the law gives"));
  CHECK_THROWS_WITH(parsed(replaced(good, "\"500 Pa s\"", "500")), Contains("bare number"));
  const std::string stiff = replaced(good, "ejection_temperature",
                                     "no_flow_temperature = \"185 degC\"\nejection_temperature");
  CHECK_THROWS_WITH(parsed(stiff), Contains("no-flow temperature of 185.0 degC"));
}
