#include <algorithm>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/material_card.hpp"
#include "io/material_report.hpp"
#include "tests/solver/sample_laws.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;

namespace {

Material shipped(const std::string& name) {
  return read_material_card(std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases/materials" /
                            (name + ".toml"));
}

std::size_t letters(const std::string& line) {  // UTF-8: bytes that begin a character
  return static_cast<std::size_t>(std::count_if(line.begin(), line.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

}  // namespace

TEST_CASE("the text about a material names what a user decides by", "[io][report]") {
  const std::string text = material_report_text(shipped("hips-8"));
  CHECK_THAT(text, Contains("hips-8") && Contains("cross_wlf") && Contains("± 30 %"));
  CHECK_THAT(text, Contains("predicted by the law: 7.94 g/10 min (6.9 to 9.31"));
  CHECK_THAT(text, Contains("of the grade: 8 g/10 min; the law was scaled to it"));
  CHECK_THAT(text, Contains("no-flow temperature      147.7 °C"));
  CHECK_THAT(text, Contains("Valid for melt at 180 to 280 °C in a mould at 10 to 70 °C"));
  CHECK_THAT(text, Contains("constructed, not measured") && Contains("from memory, unconfirmed"));
  CHECK_THAT(
      text, Contains("estimates") && Contains("safety data sheet") && Contains("machine's manual"));
  // The row of the handbook table at 1000 1/s and 220 °C.
  CHECK_THAT(text, Contains("98.88"));
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(letters(line) <= 100);
  }
}

TEST_CASE("every source of a card stands in its report", "[io][report]") {
  const Material m = shipped("gpps-stiff");
  const auto json = nlohmann::json::parse(material_report_json(m));
  REQUIRE(json.at("sources").size() == m.sources.size());
  const std::string text = material_report_text(m);
  for (std::size_t i = 0; i < m.sources.size(); ++i) {
    CHECK(json["sources"][i]["source"] == m.sources[i].source);
    CHECK_THAT(text, Contains(m.sources[i].quantity));
  }
}

TEST_CASE("the JSON about a material carries units in its keys and the values of the law",
          "[io][report]") {
  const auto json = nlohmann::json::parse(material_report_json(shipped("gpps-medium")));
  const auto& viscosity_part = json.at("viscosity");
  CHECK(viscosity_part.at("parameters").at("stress_at_thinning_Pa") == 30800.0);
  CHECK(viscosity_part.at("parameters").at("reference_temperature_C") == 100.0);
  const auto& table = viscosity_part.at("at_zero_pressure");
  const auto rates = table.at("shear_rate_1_per_s").get<std::vector<double>>();
  CHECK(rates.front() == Approx(10.0));
  CHECK(rates.back() == Approx(1e5));
  REQUIRE(table.at("curves").size() == 6);
  const auto& curve = table.at("curves").at(2);
  CHECK(curve.at("temperature_C") == 220.0);
  CHECK(curve.at("zero_shear_viscosity_Pa_s").get<double>() == Approx(1856.7).epsilon(1e-3));
  const auto values = curve.at("viscosity_Pa_s").get<std::vector<double>>();
  REQUIRE(values.size() == rates.size());
  for (std::size_t i = 0; i < rates.size(); ++i)
    CHECK(values[i] == Approx(viscosity(sample::gpps_medium(), rates[i], 493.15, 0.0)));
  const auto& flow = json.at("melt_flow_rate");
  CHECK(flow.at("of_grade_g_per_10min") == 10.5);
  CHECK(flow.at("law_scaled_to_it") == false);
  CHECK(flow.at("predicted_g_per_10min").get<double>() == Approx(9.55).epsilon(2e-3));
  CHECK(json.at("thermal").at("ejection_temperature_C") == 80.0);
  CHECK(json.at("pvt").at("melt_stiffness_Pa") == 168.25e6);
  CHECK(json.at("valid").at("melt_temperature_max_C") == 280.0);
}

TEST_CASE("what is not known is null or said in words", "[io][report]") {
  Material m = shipped("hips-base");
  const auto json = nlohmann::json::parse(material_report_json(m));
  CHECK(json["melt_flow_rate"]["of_grade_g_per_10min"].is_null());
  CHECK_THAT(material_report_text(m), Contains("of the grade: not known"));
  m.viscosity = Newtonian{500.0, 0.0, 493.15};
  m.no_flow_temperature = 0.0;
  CHECK(
      nlohmann::json::parse(material_report_json(m))["thermal"]["no_flow_temperature_C"].is_null());
  CHECK_THAT(material_report_text(m), Contains("flows at any temperature"));
  m.no_flow_temperature = 480.0;
  CHECK(nlohmann::json::parse(material_report_json(m))["melt_flow_rate"]["predicted_g_per_10min"]
            .is_null());
  CHECK_THAT(material_report_text(m), Contains("does not flow at 200 °C"));
  m.viscosity = PowerLaw{1.5e4, 0.3, 0.0, 493.15};
  CHECK_THAT(material_report_text(m), !Contains("at rest"));
}

TEST_CASE("the curves as CSV have a column per temperature", "[io][report]") {
  std::istringstream csv(material_curves_csv(shipped("hips-12")));
  std::string line;
  std::getline(csv, line);
  CHECK_THAT(line, Catch::StartsWith("shear_rate_1_per_s,viscosity_Pa_s_at_180_C,"));
  CHECK(std::count(line.begin(), line.end(), ',') == 6);
  int rows = 0;
  while (std::getline(csv, line)) {
    std::istringstream cells(line);
    std::vector<double> row;
    for (std::string cell; std::getline(cells, cell, ',');) row.push_back(std::stod(cell));
    REQUIRE(row.size() == 7);
    CHECK(row[3] == Approx(viscosity(sample::hips_12(), row[0], 493.15, 0.0)).epsilon(1e-4));
    ++rows;
  }
  CHECK(rows == 41);
}
