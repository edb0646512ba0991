// From trial shots to factors, sentences and a card. The trials are simulated with another
// viscosity law on a finer mesh, so that the model is not its own judge.
#include <cmath>
#include <fstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/calibrated_card.hpp"
#include "io/calibration.hpp"
#include "io/material_card.hpp"
#include "solver/numeric/latin_hypercube.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/io/schema_breach.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
using Json = nlohmann::json;

Material hips() {
  return read_material_card(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/materials/hips-8.toml");
}

/// Another law for the same melt: Arrhenius in temperature, thinning from half the stress on,
/// fitted (scipy) to hips-8 between 30 and 8000 1/s and 200 and 250 °C; rms 7 %, most 16 %.
ViscosityLaw other_law() {
  constexpr double fitted_to = 1.35;  // times the card
  return scaled(CrossExponential{0.276116, 3.2e4, 1.749540e-9, 13833.217, 2.8e-8}, 1.0 / fitted_to);
}

/// A strip of some hundredths of a second.
BuiltSetup strip(double fill_time, double melt_temperature, bool finer) {
  Case c = read_case_text(R"([layout]
unit = "mm"
[[layout.part]]
name = "strip"
thickness = "1 mm"
polygon = [[0, -5], [50, -5], [50, 5], [0, 5]]
[injection]
at = [0, 0]
width = "10 mm"
[material]
card = "./none.toml"
[air]
enabled = false
[process]
fill_time = "1 s"
[accuracy]
level = "preview"
)",
                          "case.toml", {});
  c.process.fill_time = fill_time;
  c.process.melt_temperature = melt_temperature;
  c.accuracy.element_size = finer ? 1.5e-3 : 4e-3;
  c.accuracy.layers = finer ? 12 : 6;
  c.accuracy.volume_steps = finer ? 40 : 14;
  Cards cards = plain_cards();
  cards.material = hips();
  return build_setup(c, cards);
}

/// Logarithm of the peak pressure of the strip while it fills.
double log_pressure(BuiltSetup built, const ViscosityLaw& law, double factor, double conductance) {
  built.setup.material.viscosity = scaled(law, factor);
  built.setup.process.contact_conductance = conductance;
  const Result r =
      run_case(built.setup, [](const Snapshot& s) { return s.state.mode != FillMode::done; });
  return std::log(r.peak_pressure);
}

const std::vector<std::pair<double, double>> settings = {
    {0.2, 493.15}, {0.5, 493.15}, {1.2, 493.15}, {0.5, 513.15}};

/// Quadratic in ln factor and ln conductance through nine whole runs for each setting.
class Table {
 public:
  Table() {
    const ViscosityLaw law = hips().viscosity;
    for (const auto& [time, T] : settings) {
      const BuiltSetup built = strip(time, T, false);
      auto& nine = values_.emplace_back();
      for (const double f : {-reach_, 0.0, reach_})
        for (const double h : {-1.0, 0.0, 1.0})
          nine.push_back(log_pressure(built, law, std::exp(f), 1e4 * std::exp(h)));
    }
  }
  Forecasts operator()(const Matrix& points) const {
    Forecasts out;
    for (const auto& phi : points) {
      out.emplace_back(std::vector<double>());
      for (const auto& nine : values_) {
        std::vector<double> along;
        for (std::size_t k = 0; k < 3; ++k)
          along.push_back(
              through(nine[3 * k], nine[3 * k + 1], nine[3 * k + 2], phi[1] - std::log(1e4)));
        out.back()->push_back(through(along[0], along[1], along[2], phi[0] / reach_));
      }
    }
    return out;
  }

 private:
  /// The parabola with these values at -1, 0 and 1.
  static double through(double a, double b, double c, double x) {
    return b + 0.5 * (c - a) * x + 0.5 * (a - 2.0 * b + c) * x * x;
  }
  static constexpr double reach_ = 0.7;
  std::vector<std::vector<double>> values_;
};

/// With the common offset of pressures as `calibrate` has it.
FitProblem problem_of(const std::vector<double>& seen, double scatter) {
  FitProblem p;
  const double m = viscosity_share(hips().viscosity, 493.15);
  p.factors = {{0.0, std::log(1.3) / m}, {std::log(1e4), std::log(3.0)}, {0.0, 0.08}};
  for (const double y : seen) p.measured.push_back({MeasuredKind::number, y, scatter});
  return p;
}

/// A calibration with made-up numbers, for sentences and files.
Calibration sample_calibration() {
  Calibration c;
  c.title = "Plates";
  c.date = "2026-11-28";
  c.accuracy = "preview";
  c.base_card = "hips-8";
  c.card = "hips-8-trial";
  c.shots = 3;
  CalibratedFactor v{"viscosity_factor", "viscosity factor", "material.viscosity_factor", 1.0,
                     {0.0, 1.0},         "the card's band"};
  CalibratedFactor g{"parting_line_gap",
                     "parting line gap",
                     "air.parting_line_gap",
                     5e-6,
                     {std::log(5e-6), 0.6, -15.0, -10.0},
                     "band"};
  c.factors = {v, g};
  c.trials.keys = {"process.fill_time"};
  c.trials.values = {{"0.5 s"}, {"1 s"}};
  c.trials.names = {{"a", "b"}, {"c"}};
  c.trials.items = {
      {0, TrialQuantity::peak_pressure, "", {MeasuredKind::number, std::log(40e6), 0.05}, 2},
      {1, TrialQuantity::peak_pressure, "", {MeasuredKind::number, std::log(30e6), 0.05}, 1},
      {1, TrialQuantity::filled, "deck", {MeasuredKind::above, looks_full, mark_scatter}, 1}};
  const auto model = [](const Matrix& points) {
    Forecasts out;
    for (const auto& phi : points)
      out.push_back(
          std::vector<double>{std::log(35e6) + 0.3 * phi[0], std::log(26e6) + 0.3 * phi[0], 1.0});
    return out;
  };
  const FitProblem problem = fit_problem(c.factors, c.offsets, c.trials, false);
  c.fit = fit_with_priors(problem, model);
  c.told = told_apart(problem, c.fit);
  return c;
}

}  // namespace

TEST_CASE("a calibrated card is a whole card with the trial as its source", "[io][calibrate]") {
  const ScratchFolder folder("calibrated-card");
  for (const char* name : {"hips-8", "gpps-medium", "hips-base"}) {
    const Material base = read_material_card(std::string(FIRSTSHOT_SOURCE_DIR) +
                                             "/cases/materials/" + name + ".toml");
    const std::string text = calibrated_card(
        base, {"shop-7", 1.42, 1.1, 1.8, 0.9, 0.12, 6, "2026-11-28", "A \"frame\""});
    std::ofstream(folder.path() / "card.toml") << text;
    const Material card = read_material_card(folder.path() / "card.toml");
    CHECK(card.name == "shop-7");
    CHECK(card.viscosity_band == Approx(0.12));
    CHECK(card.no_flow_temperature == base.no_flow_temperature);
    CHECK_FALSE(card.fitted_to_melt_flow_rate);
    for (const double rate : {1.0, 100.0, 1e4})
      CHECK(viscosity(card.viscosity, rate, 493.15, 20e6) ==
            Approx(viscosity(scaled(base.viscosity, 1.42), rate, 493.15, 20e6)).epsilon(1e-12));
    // All else is the base's, number for number.
    CHECK(card.pvt.b3s == base.pvt.b3s);
    CHECK(card.heat_capacity.value == base.heat_capacity.value);
    CHECK(card.melt_temperature_max == base.melt_temperature_max);
    CHECK(card.vent_depth_max == base.vent_depth_max);
    CHECK_THAT(text, Contains("calibrated from 6 trial shots of \\\"A \\\"frame\\\"\\\", "
                              "2026-11-28") ||
                         Contains("calibrated from 6 trial shots"));
    const auto source = [&](const Material& m, const std::string& quantity) {
      for (const auto& s : m.sources)
        if (s.quantity == quantity) return s.source;
      return std::string("none");
    };
    CHECK_THAT(source(card, "viscosity.band"), Contains("calibrated from 6 trial shots"));
    CHECK(source(card, "thermal.conductivity") == source(base, "thermal.conductivity"));
  }
}

TEST_CASE("cards of every law can be calibrated", "[io][calibrate]") {
  Material m = hips();
  for (const ViscosityLaw& law : {ViscosityLaw(CrossExponential{0.3, 2e4, 1e-4, 7500.0, 2e-8}),
                                  ViscosityLaw(Newtonian{300.0, 0.02, 493.15}),
                                  ViscosityLaw(PowerLaw{2e4, 0.3, 0.02, 493.15})}) {
    m.viscosity = law;
    const std::string text = calibrated_card(m, {"x", 1.3, 1.0, 1.6, 0.9, 0.1, 2, "d", "t"});
    const Material card = read_material_card(TomlFile::parse(text, "card"));
    CHECK(viscosity(card.viscosity, 500.0, 493.15, 0.0) ==
          Approx(viscosity(scaled(law, 1.3), 500.0, 493.15, 0.0)).epsilon(1e-12));
  }
}

TEST_CASE("calibrate.json keeps to its schema, and the sentences say what is not told",
          "[io][calibrate]") {
  Calibration c = sample_calibration();
  c.left_out = {"entrance_length is left out: process.entrance_length is 0 in the case"};
  const Json json = Json::parse(calibration_json(c));
  const std::string schema =
      sample::read_text(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/calibrate.schema.json");
  CHECK(schema_breach(json.dump(), schema).empty());
  Json less = json;
  less["factors"][0].erase("told");
  CHECK(schema_breach(less.dump(), schema) == "/factors[]/told: missing");
  CHECK(json["factors"][1]["told"] == "not_told");
  CHECK(json["factors"][1]["degrees_of_freedom"].is_null());
  CHECK(json["comparison"][2]["trial"].is_null());
  const std::string all = json["sentences"].dump();
  CHECK_THAT(all, Contains("next to nothing about parting line gap"));
  CHECK_THAT(all, Contains("entrance_length is left out"));
  CHECK_THAT(calibration_csv(c), Contains("1,2,peak pressure,MPa,40,35,") &&
                                     Contains("2,1,filled deck,%,full,100,100,0\r\n"));

  // What does not fit is named with its shot.
  c.trials.items[2].measured.kind = MeasuredKind::below;
  c.trials.items[0].measured.value = std::log(90e6);
  const std::string odd = Json(calibration_sentences(c)).dump();
  CHECK_THAT(odd, Contains("a: peak pressure was 90 MPa"));
  CHECK_THAT(odd, Contains("c: part deck was seen short"));
  // Fewer numbers than factors.
  c.trials.items.resize(1);
  CHECK_THAT(calibration_sentences(c).front(),
             Contains("One number or mark cannot tell 2 factors apart: at least one of"));
}

TEST_CASE("a thinning melt hides its viscosity factor from pressure", "[io][calibrate]") {
  CHECK(viscosity_share(Newtonian{100.0, 0.0, 493.15}, 493.15) == Approx(1.0).epsilon(1e-9));
  // A power law at a given rate: K f^n.
  CHECK(viscosity_share(PowerLaw{1e4, 0.3, 0.0, 493.15}, 493.15) == Approx(0.3).epsilon(1e-6));
  const double m = viscosity_share(hips().viscosity, 493.15);
  CHECK(m > 0.2036);
  CHECK(m < 0.5);
}

TEST_CASE("factors that mean nothing in a case are left out, or refused when asked for",
          "[io][calibrate]") {
  BuiltSetup built = strip(0.5, 493.15, false);  // without air
  const FactorChoice choice = choose_factors(built, {});
  REQUIRE(choice.factors.size() == 3);
  CHECK(choice.factors[0].prior.spread ==
        Approx(std::log(1.3) / viscosity_share(hips().viscosity, 493.15)));
  REQUIRE(choice.left_out.size() == 2);
  CHECK_THAT(choice.left_out[1], Contains("vent_depth_factor"));
  CHECK_THAT(choice.left_out[0], Contains("parting_line_gap"));
  CHECK_THROWS_WITH(choose_factors(built, {"parting_line_gap"}), Contains("no air leaves"));
  CHECK_THROWS_WITH(choose_factors(built, {"viscosity"}),
                    Contains("\"viscosity\"") && Contains("entrance_length"));
  const CaseOverride change = override_of(choice.factors[2], std::log(12345.0));
  CHECK(change.key == "material.contact_conductance");
  CHECK(parse_quantity(change.value, Dimension::conductance) == Approx(12345.0));
  CHECK(factor_text(choice.factors[2], 12345.0) == "12300 W/(m2 K)");
}

TEST_CASE("intervals cover the factor of trials by another law on a finer mesh",
          "[io][calibrate]") {
  // Forecasts: hips-8 on elements of 4 mm, by a table of whole runs. Trials: another law and
  // elements of 1.5 mm, then 4 % of noise on each pressure. What is to be recovered is the factor
  // that the other law was scaled by.
  const Table table;
  const ViscosityLaw other = other_law();
  constexpr double noise = 0.04, confidence = 0.9;
  constexpr int trials = 200;
  SeededRandom random(3);
  for (const double truth : {0.75, 1.0, 1.5}) {
    std::vector<double> exact;
    for (const auto& [time, T] : settings)
      exact.push_back(log_pressure(strip(time, T, true), other, truth, 1e4));
    int held = 0;
    for (int k = 0; k < trials; ++k) {
      std::vector<double> seen = exact;
      for (double& y : seen) y += noise * random.normal();
      const PriorFit fit = fit_with_priors(problem_of(seen, pressure_scatter),
                                           [&](const Matrix& p) { return table(p); });
      const FactorInterval i = interval_of(fit, 0, confidence);
      held += i.low < truth && truth < i.high ? 1 : 0;
    }
    INFO("factor " << truth << ": held in " << held << " of " << trials);
    // 200 trials: standard error 0.021, three of them.
    CHECK(held >= trials * (confidence - 0.064));
    // Without noise the factor itself is found as well as 8 % of all pressures let it, f^0.3.
    const PriorFit clean = fit_with_priors(problem_of(exact, pressure_scatter),
                                           [&](const Matrix& p) { return table(p); });
    CHECK(std::abs(clean.estimate[0] - std::log(truth)) < 0.35);
  }
}

}  // namespace firstshot::test
