#include <cmath>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/material/melt_flow_rate.hpp"
#include "tests/solver/sample_laws.hpp"

using namespace firstshot;
using sample::kelvin;

namespace {

constexpr double pi = std::numbers::pi;
constexpr double density =
    969.9;  // of polystyrene at 200 °C [kg/m³], the value of the tables below

double pipe_rate(const ViscosityLaw& law, double T, double wall_stress) {  // 4Q/(π R³)
  return 4.0 * capillary_flow_rate(law, T, 1.0, wall_stress) / pi;
}
double slit_rate(const ViscosityLaw& law, double T, double wall_stress) {  // 6Q/(w h²)
  return 6.0 * slit_flow_rate(law, T, {1.0, 1.0}, wall_stress);
}

}  // namespace

TEST_CASE("flow of a Cross melt through pipe and slit agrees with an independent integration",
          "[solver][material][analytic]") {
  // Own table, eight digits, made by integrating over τ with the slope of the law written out;
  // gpps-medium at 220 °C.
  struct Row {
    double wall_stress, wall_rate, pipe, slit;
  };
  const std::vector<Row> rows = {
      {1e3, 0.58257457, 0.57534649, 0.57345018}, {1e4, 8.7131844, 8.0468240, 7.8861401},
      {3e4, 56.646446, 45.743910, 43.464668},    {1e5, 1980.9465, 1215.3703, 1084.3501},
      {2e5, 28217.766, 16374.524, 14387.463},    {3e5, 139541.3, 80371.426, 70455.316}};
  const ViscosityLaw law = sample::gpps_medium();
  const double T = kelvin(220.0);
  for (const Row& row : rows) {
    CAPTURE(row.wall_stress);
    CHECK(shear_rate_at_stress(law, T, row.wall_stress) == Approx(row.wall_rate).epsilon(1e-6));
    CHECK(pipe_rate(law, T, row.wall_stress) == Approx(row.pipe).epsilon(1e-6));
    CHECK(slit_rate(law, T, row.wall_stress) == Approx(row.slit).epsilon(1e-6));
  }
}

TEST_CASE("pressure gradients of a Cross melt in a 4 mm pipe and a 1.5 mm slit",
          "[solver][material][analytic]") {
  // Own table for gpps-medium at 220 °C: MPa/mm at 1, 10 and 50 cm³/s, three or four digits.
  const ViscosityLaw law = sample::gpps_medium();
  const double T = kelvin(220.0);
  const std::vector<double> flow = {1e-6, 10e-6, 50e-6};
  const std::vector<double> pipe = {0.0520, 0.1079, 0.1660};
  const std::vector<double> slit = {0.0667, 0.1414, 0.2184};
  for (std::size_t i = 0; i < flow.size(); ++i) {
    const double R = 2e-3;
    CHECK(capillary_flow_rate(law, T, R, pipe[i] * 1e9 * R / 2.0) ==
          Approx(flow[i]).epsilon(5e-3));  // last digit of the gradient, four times as strong in Q
    const double h = 1.5e-3;
    CHECK(slit_flow_rate(law, T, {20e-3, h}, slit[i] * 1e9 * h / 2.0) ==
          Approx(flow[i]).epsilon(5e-3));
  }
}

TEST_CASE("a power-law and a Newtonian melt flow as their closed forms say",
          "[solver][material][analytic]") {
  const double T = 493.15;
  for (const double n : {0.2, 0.3, 0.5, 0.8}) {
    const PowerLaw law{1.5e4, n, 0.0, T};
    const double tau = 8e4;
    const double wall_rate = std::pow(tau / law.K, 1.0 / n);
    CHECK(pipe_rate(law, T, tau) == Approx(4.0 * n / (3.0 * n + 1.0) * wall_rate).epsilon(1e-8));
    CHECK(slit_rate(law, T, tau) == Approx(3.0 * n / (2.0 * n + 1.0) * wall_rate).epsilon(1e-8));
  }
  const Newtonian water_like{250.0, 0.0, T};
  CHECK(pipe_rate(water_like, T, 5e4) == Approx(200.0).epsilon(1e-9));
  CHECK(slit_rate(water_like, T, 5e4) == Approx(200.0).epsilon(1e-9));
}

TEST_CASE("a Cross melt flows like a Newtonian one at low stress", "[solver][material][limit]") {
  const ViscosityLaw law = sample::hips_8();
  const double T = kelvin(200.0);
  const double eta0 = zero_shear_viscosity(law, T, 0.0);
  CHECK(pipe_rate(law, T, 1e-3) == Approx(1e-3 / eta0).epsilon(1e-5));
}

TEST_CASE("the melt flow rate of each law is what an independent evaluation gives",
          "[solver][material][analytic]") {
  // Own table [g/10 min], end correction 0, 2, 3 and 4 radii, two decimals.
  struct Row {
    ViscosityLaw law;
    double e0, e2, e3, e4;
  };
  const std::vector<Row> rows = {
      {sample::gpps_medium(), 19.96, 11.73, 9.55, 7.99},
      {sample::gpps_exponential(), 12.46, 7.28, 5.87, 4.85},
      {sample::gpps_stiff(), 5.25, 3.58, 3.07, 2.68},
      {sample::gpps_handbook(), 4.99, 3.06, 2.53, 2.15},
      {sample::hips_base(), 5.51, 3.67, 3.13, 2.72},
      {sample::hips_8(), 14.08, 9.38, 8.00, 6.96},
      {sample::hips_12(), 21.12, 14.07, 12.00, 10.44},
      {sample::gpps_10(), 20.90, 12.29, 10.00, 8.37},
      {sample::gpps_20(), 41.79, 24.57, 20.00, 16.73},
  };
  for (const Row& row : rows) {
    CAPTURE(row.e3);
    const auto predicted = [&](double e) { return melt_flow_rate(row.law, density, e); };
    const double digits = 2e-3;  // two decimals of values from 2 on, rounded constants of the laws
    CHECK(predicted(0.0) == Approx(row.e0).epsilon(digits));
    CHECK(predicted(2.0) == Approx(row.e2).epsilon(digits));
    CHECK(predicted(3.0) == Approx(row.e3).epsilon(digits));
    CHECK(predicted(4.0) == Approx(row.e4).epsilon(digits));
  }
}

TEST_CASE("a law not fitted to its melt flow rate predicts that of its grade",
          "[solver][material][measured]") {
  // gpps-medium: data sheet 10 to 11 g/10 min (from memory, unconfirmed). The law was fitted to
  // flow curves only; e = 2 to 4 covers the grade. The exponential law, 14 on the data sheet (from
  // memory, unconfirmed), does not pass with any e from 2 on: reason not to ship it as a card. For
  // gpps-stiff and hips-base no melt flow rate is known; they fall in the usual class of 2 to 5.
  const auto predicted = [&](const ViscosityLaw& law, double e) {
    return melt_flow_rate(law, density, e);
  };
  CHECK(predicted(sample::gpps_medium(), 2.0) > 10.0);
  CHECK(predicted(sample::gpps_medium(), 4.0) < 11.0);
  CHECK(predicted(sample::gpps_medium(), 3.0) == Approx(10.5).epsilon(0.15));
  CHECK(predicted(sample::gpps_exponential(), 2.0) < 0.6 * 14.0);
  for (const ViscosityLaw& law :
       {ViscosityLaw(sample::gpps_stiff()), ViscosityLaw(sample::hips_base())}) {
    CHECK(predicted(law, 3.0) > 2.0);
    CHECK(predicted(law, 3.0) < 5.0);
  }
}

TEST_CASE("the band of the predicted melt flow rate encloses its value", "[solver][material]") {
  Material material;
  material.viscosity = sample::hips_8();
  material.density_melt = density;
  const MeltFlowRate rate = predicted_melt_flow_rate(material);
  CHECK(rate.value == Approx(8.0).epsilon(2e-3));
  CHECK(rate.low == Approx(6.96).epsilon(2e-3));
  CHECK(rate.high == Approx(9.38).epsilon(2e-3));
}
