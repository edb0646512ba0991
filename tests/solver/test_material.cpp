#include <cmath>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/material/material.hpp"
#include "tests/solver/sample_laws.hpp"

using namespace firstshot;
using sample::kelvin;

TEST_CASE("the Tait equation gives the specific volumes worked out by hand",
          "[solver][material][analytic]") {
  // Own evaluation of the two-domain form with the card's numbers (Eindhoven set, from memory,
  // unconfirmed), five digits.
  struct Row {
    double celsius, v0, v50, v100, kappa;
  };
  const std::vector<Row> rows = {{150, 9.9920e-4, 9.7144e-4, 9.5089e-4, 6.52e-10},
                                 {200, 1.02640e-3, 9.9250e-4, 9.6780e-4, 7.99e-10},
                                 {220, 1.03728e-3, 1.00062e-3, 9.7441e-4, 8.67e-10},
                                 {240, 1.04816e-3, 1.00855e-3, 9.8079e-4, 9.41e-10}};
  const TaitPvt pvt;
  for (const Row& row : rows) {
    const double T = kelvin(row.celsius);
    CAPTURE(row.celsius);
    CHECK(specific_volume(pvt, T, 0.0) == Approx(row.v0).epsilon(1e-5));
    CHECK(specific_volume(pvt, T, 50e6) == Approx(row.v50).epsilon(1e-5));
    CHECK(specific_volume(pvt, T, 100e6) == Approx(row.v100).epsilon(1e-5));
    CHECK(compressibility(pvt, T, 0.0) == Approx(row.kappa).epsilon(1e-3));
  }
  CHECK(specific_volume(pvt, kelvin(23.0), 0.0) == Approx(9.5475e-4).epsilon(1e-5));
}

TEST_CASE("the melt agrees with an independent set of measured volumes within 1 %",
          "[solver][material][measured]") {
  // One-domain Tait fit for polystyrene, 389 to 469 K and up to 200 MPa (Danner & High, Handbook of
  // Polymer Solution Thermodynamics, as listed in the open polykin tables); 220 °C is extrapolated.
  const auto independent = [](double t, double p) {
    const double v0 = 9.3805e-4 + 3.3086e-7 * t + 6.6910e-10 * t * t;
    const double B = 2.5001e8 * std::exp(-4.1815e-3 * t);
    return v0 * (1.0 - 0.0894 * std::log(1.0 + p / B));
  };
  for (const double t : {150.0, 180.0, 195.0, 220.0})
    for (const double p : {0.0, 50e6, 100e6})
      CHECK(specific_volume(TaitPvt{}, kelvin(t), p) == Approx(independent(t, p)).epsilon(0.01));
}

TEST_CASE("linear shrinkage from the glass transition to 23 °C is 0.6 % without pressure",
          "[solver][material][measured]") {
  // Measured in-plane shrinkage of polystyrene: 0.6 % at low holding pressure falling to 0.1 %
  // (Jansen, Pantani & Titomanlio, Polym. Eng. Sci. 38 (1998), doi 10.1002/pen.10186). The volume
  // of the melt as it turns to glass at Tg(p), against that at 23 °C, worked out for 0 to 60 MPa.
  const TaitPvt pvt;
  const double cold = specific_volume(pvt, kelvin(23.0), 0.0);
  const auto linear = [&](double p) {
    const double T_glass = pvt.b5 + pvt.b6 * p + 1e-6;
    const double by_hand = 1.0 - std::cbrt(cold / specific_volume(pvt, T_glass, p));
    CHECK(linear_shrinkage_from_glass(pvt, p, kelvin(23.0)) == Approx(by_hand).epsilon(1e-6));
    return by_hand;
  };
  CHECK(linear(0.0) == Approx(0.00595).margin(2e-5));
  CHECK(linear(20e6) == Approx(0.00436).margin(1e-5));
  CHECK(linear(40e6) == Approx(0.00283).margin(1e-5));
  CHECK(linear(60e6) == Approx(0.00136).margin(1e-5));
}

TEST_CASE("compressibility is the relative slope of the specific volume with pressure",
          "[solver][material][analytic]") {
  const TaitPvt pvt;
  const double dp = 1e4;
  for (const double T : {kelvin(40.0), kelvin(160.0), kelvin(220.0), kelvin(260.0)})
    for (const double p : {1e5, 30e6, 120e6}) {
      const double slope =
          (specific_volume(pvt, T, p + dp) - specific_volume(pvt, T, p - dp)) / (2.0 * dp);
      CHECK(compressibility(pvt, T, p) ==
            Approx(-slope / specific_volume(pvt, T, p)).epsilon(1e-6));
    }
}

TEST_CASE("expansion is the relative slope of the specific volume with temperature",
          "[solver][material][analytic]") {
  const TaitPvt pvt;
  const double dT = 1e-2;
  for (const double T : {kelvin(40.0), kelvin(160.0), kelvin(220.0), kelvin(260.0)})
    for (const double p : {0.0, 30e6, 120e6}) {
      const double slope =
          (specific_volume(pvt, T + dT, p) - specific_volume(pvt, T - dT, p)) / (2.0 * dT);
      CHECK(expansion(pvt, T, p) == Approx(slope / specific_volume(pvt, T, p)).epsilon(1e-6));
    }
}

TEST_CASE("a branch of the equation of state gives the same density and its slope",
          "[solver][material][analytic]") {
  const TaitPvt pvt;
  for (const double T : {kelvin(40.0), kelvin(220.0)}) {
    const double p = 30e6;
    const TaitDensity d = density_at(tait_branch(pvt, T, p), p);
    CHECK(d.density == Approx(1.0 / specific_volume(pvt, T, p)).epsilon(1e-12));
    CHECK(d.slope == Approx(d.density * compressibility(pvt, T, p)).epsilon(1e-12));
  }
}

TEST_CASE("melt and glass meet without a jump at the transition without pressure",
          "[solver][material][limit]") {
  const TaitPvt pvt;
  CHECK(specific_volume(pvt, pvt.b5 + 1e-9, 0.0) ==
        Approx(specific_volume(pvt, pvt.b5 - 1e-9, 0.0)).epsilon(1e-12));
  // Under pressure the transition moves up by b6 p: glass at 110 °C and 40 MPa.
  const double glass = pvt.b1s + pvt.b2s * (kelvin(110.0) - pvt.b5);
  CHECK(specific_volume(pvt, kelvin(110.0), 40e6) > 0.95 * glass);
  CHECK(compressibility(pvt, kelvin(110.0), 40e6) < compressibility(pvt, kelvin(125.0), 40e6));
  CHECK(compressibility(pvt, kelvin(110.0), 40e6) < 0.6 * compressibility(pvt, kelvin(110.0), 0.0));
}

TEST_CASE("heat capacity runs in straight lines between its points and flat beyond",
          "[solver][material][analytic]") {
  const HeatCapacity cp{{300.0, 370.0, 380.0}, {1200.0, 1500.0, 1850.0}};
  CHECK(cp.at(250.0) == 1200.0);
  CHECK(cp.at(300.0) == 1200.0);
  CHECK(cp.at(335.0) == Approx(1350.0));
  CHECK(cp.at(375.0) == Approx(1675.0));
  CHECK(cp.at(380.0) == 1850.0);
  CHECK(cp.at(500.0) == 1850.0);
  const HeatCapacity constant{{300.0}, {2050.0}};
  CHECK(constant.at(200.0) == 2050.0);
  CHECK(constant.at(600.0) == 2050.0);
}
