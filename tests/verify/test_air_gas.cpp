// Trapped air as a gas and its way out, against figures computed elsewhere and closed forms.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "solver/flow/air_gas.hpp"
#include "solver/flow/air_vent.hpp"

using namespace firstshot;

namespace {

constexpr double bar = 1e5;
constexpr double um = 1e-6, mm = 1e-3;
constexpr double mg_per_s = 1e-6;

/// Pressure and temperature after sealed compression to 1/ratio of the volume, from the entropy.
struct Compressed {
  double temperature, pressure_ratio;
};
Compressed by_volume(double T0, double ratio) {
  double low = 1.0, high = 1e5;
  for (int i = 0; i < 200; ++i) {
    const double p = std::sqrt(low * high);
    const double T = air::adiabatic_temperature(T0, p);
    (p * T0 / T < ratio ? low : high) = p;
  }
  return {air::adiabatic_temperature(T0, low), low};
}

}  // namespace

TEST_CASE("air has the heat capacity of dry air", "[verify][air]") {
  // Frozen dry air from nitrogen, oxygen and argon, computed independently; agrees with tables of
  // air to 0.2 % (from memory, unconfirmed).
  const double table[][2] = {{300, 1003}, {600, 1050}, {1000, 1143}, {1500, 1210}, {2000, 1251}};
  for (const auto& [T, cp] : table) CHECK(air::heat_capacity(T) == Approx(cp).epsilon(1e-3));
}

TEST_CASE("enthalpy and entropy of air are integrals of its heat capacity", "[verify][air]") {
  for (double T : {250.0, 400.0, 999.0, 1000.5, 1600.0}) {
    const double d = 0.1;
    const double cp = air::heat_capacity(T);
    CHECK((air::enthalpy(T + d) - air::enthalpy(T - d)) / (2 * d) == Approx(cp).epsilon(2e-4));
    CHECK((air::entropy(T + d) - air::entropy(T - d)) / (2 * d) == Approx(cp / T).epsilon(2e-4));
  }
}

TEST_CASE("sealed air without heat loss heats as real air does", "[verify][air]") {
  // Computed independently with temperature-dependent heat capacity, by volume ratio from 300 K
  // and 320 K; with γ = 1.4 the last line would read 1434.5 K and 239 times the pressure.
  const double table[][4] = {{5, 564.0, 599.4, 9.4},
                             {10, 729.6, 773.1, 24.3},
                             {20, 930.8, 983.1, 62.1},
                             {50, 1259.8, 1326.4, 210.0},
                             {100, 1566.8, 1646.4, 522.3}};
  for (const auto& row : table) {
    const Compressed cold = by_volume(300.0, row[0]);
    CHECK(cold.temperature == Approx(row[1]).epsilon(1e-3));
    CHECK(cold.pressure_ratio == Approx(row[3]).epsilon(5e-3));
    CHECK(by_volume(320.0, row[0]).temperature == Approx(row[2]).epsilon(1e-3));
  }
  CHECK(air::adiabatic_temperature(300.0, 50.0) == Approx(880.8).epsilon(1e-3));
  CHECK(air::adiabatic_temperature(320.0, 100.0) == Approx(1110.2).epsilon(1e-3));
}

TEST_CASE("a step of compression has both limits of heat loss", "[verify][air]") {
  const double T0 = 313.15, p0 = bar, p1 = 40 * bar, wall = 313.15;
  const double adiabatic = air::adiabatic_temperature(T0, p1 / p0);
  CHECK(air::temperature_after(T0, p0, p1, wall, 1e12) == Approx(adiabatic).epsilon(1e-9));
  CHECK(air::temperature_after(T0, p0, p1, wall, 1e-6) == Approx(wall).epsilon(1e-3));
  double before = adiabatic;
  for (double tau = 100.0; tau > 1e-3; tau *= 0.5) {
    const double T = air::temperature_after(T0, p0, p1, wall, tau);
    CHECK(T < before);
    CHECK(T >= wall);
    before = T;
  }
  // Constant pressure: relaxation to the wall as exp(-t/τ).
  CHECK(air::temperature_after(500.0, p1, p1, 300.0, 0.5) ==
        Approx(300.0 + 200.0 * std::exp(-2.0)).epsilon(1e-12));
}

TEST_CASE("air between plates loses its heat in the time of its thickness", "[verify][air]") {
  // τ = h²/(π² α), α ~ T^1.75/p: computed independently for 0.8, 1.5 and 2 mm.
  const auto tau = [](double h, double T, double p) {
    return h * h / (std::numbers::pi * std::numbers::pi * air::diffusivity(T, p));
  };
  CHECK(tau(0.8 * mm, 320.0, bar) == Approx(2.6e-3).epsilon(0.03));
  CHECK(tau(1.5 * mm, 320.0, bar) == Approx(9e-3).epsilon(0.06));
  CHECK(tau(0.8 * mm, 800.0, 25 * bar) == Approx(14e-3).epsilon(0.1));
}

TEST_CASE("a vent passes the smaller of slit and orifice flow", "[verify][air]") {
  // 5 mm wide, land 1.5 mm, 320 K, viscosity 2.0e-5 Pa s, into the room: computed independently,
  // mg/s.
  const double table[][4] = {{10, 1.2, .3125, 10.08}, {10, 10, 74.8, 113.0}, {20, 1.2, 2.500, 20.2},
                             {20, 2, 17.98, 45.2},    {20, 5, 145.0, 113.0}, {30, 2, 60.7, 67.8},
                             {30, 10, 2020, 339}};
  for (const auto& row : table) {
    const air::Opening o{5 * mm, row[0] * um, 1.5 * mm};
    const double p = row[1] * bar;
    CHECK(air::slit_outflow(o, p, air::room_pressure, 2.0e-5, 320.0) / mg_per_s ==
          Approx(row[2]).epsilon(2e-3));
    CHECK(air::orifice_outflow(o.width * o.depth, p, air::room_pressure, 320.0) / mg_per_s ==
          Approx(row[3]).epsilon(4e-3));
    CHECK(air::vent_outflow(o, p, air::room_pressure, 320.0, 320.0) <=
          air::orifice_outflow(o.width * o.depth, p, air::room_pressure, 320.0));
  }
  // Choked: proportional to the pressure of the pocket, whatever the pressure behind.
  const double choked = air::orifice_outflow(1e-7, 3 * bar, bar, 320.0);
  CHECK(air::orifice_outflow(1e-7, 3 * bar, 0.2 * bar, 320.0) == choked);
  CHECK(choked == Approx(1e-7 * 3 * bar / std::sqrt(air::gas_constant * 320.0) * 0.684731));
  CHECK(air::vent_outflow({mm, 20 * um, mm}, bar, bar, 320.0, 320.0) == 0.0);
}

TEST_CASE("a pocket squeezed steadily has the pressure of the closed form", "[verify][air]") {
  // h = 20 μm, w = 5 mm, L = 1.5 mm, μ = 2e-5 Pa s, Q = 10 cm³/s: Kv = 5.5556e-11, p = 2.2552 bar
  // against the room.
  const double Kv = air::slit_factor({5 * mm, 20 * um, 1.5 * mm}) / 2e-5;
  CHECK(Kv == Approx(5.5556e-11).epsilon(1e-4));
  CHECK(air::squeeze_pressure(1e-5, Kv, air::room_pressure) == Approx(2.2552e5).epsilon(1e-4));
}

TEST_CASE("air has the viscosity of air", "[verify][air]") {
  // Tables of air, from memory, unconfirmed.
  CHECK(air::viscosity(300.0) == Approx(1.846e-5).epsilon(5e-3));
  CHECK(air::viscosity(600.0) == Approx(3.06e-5).epsilon(2e-2));
}
