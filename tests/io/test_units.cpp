#include <bit>
#include <cmath>
#include <cstdint>
#include <random>

#include <catch2/catch.hpp>

#include "io/units.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;
using D = Dimension;

namespace {

std::string reason(std::string_view text, Dimension dim) {
  return test::refusal_of<UnitError>([&] { parse_quantity(text, dim); });
}

const Dimension kAll[] = {D::length,
                          D::area,
                          D::volume,
                          D::temperature,
                          D::temperature_difference,
                          D::time,
                          D::speed,
                          D::flow_rate,
                          D::mass,
                          D::mass_rate,
                          D::force,
                          D::pressure,
                          D::density,
                          D::specific_volume,
                          D::specific_expansion,
                          D::viscosity,
                          D::conductivity,
                          D::heat_capacity,
                          D::conductance,
                          D::angle,
                          D::angle_in_degrees,
                          D::ratio,
                          D::pressure_shift,
                          D::per_temperature,
                          D::per_pressure,
                          D::shear_rate,
                          D::melt_flow_rate};

}  // namespace

TEST_CASE("a quantity in a decimal unit is exactly the SI literal", "[io]") {
  CHECK(parse_quantity("1.2 mm", D::length) == 1.2e-3);
  CHECK(parse_quantity("0.3 um", D::length) == 0.3e-6);
  CHECK(parse_quantity("80 MPa", D::pressure) == 80e6);
  CHECK(parse_quantity("100 bar", D::pressure) == 1e7);
  CHECK(parse_quantity("40 cm3/s", D::flow_rate) == 40e-6);
  CHECK(parse_quantity("98 %", D::ratio) == 0.98);
  CHECK(parse_quantity("0.2 K/MPa", D::pressure_shift) == 0.2e-6);
  CHECK(parse_quantity("600 kN", D::force) == 6e5);
  CHECK(parse_quantity("6.934e11 Pa s", D::viscosity) == 6.934e11);
  CHECK(parse_quantity("8 g/10min", D::melt_flow_rate) == 8.0);
  CHECK(parse_quantity("1.05 cm3/g", D::specific_volume) == 1.05e-3);
  CHECK(parse_quantity("250 ms", D::time) == 0.25);
}

// Factors of the definitions of these units (SI brochure and the inch, pound and degree Fahrenheit
// of 1959).
TEST_CASE("units with a factor or an offset agree with their definitions", "[io]") {
  CHECK(parse_quantity("220 degC", D::temperature) == 493.15);
  CHECK(parse_quantity("32 degF", D::temperature) == Approx(273.15).epsilon(1e-14));
  CHECK(parse_quantity("212 degF", D::temperature) == Approx(373.15).epsilon(1e-14));
  CHECK(parse_quantity("1 in", D::length) == Approx(0.0254).epsilon(1e-15));
  CHECK(parse_quantity("1 atm", D::pressure) == Approx(101325.0).epsilon(1e-15));
  CHECK(parse_quantity("1 psi", D::pressure) == Approx(6894.757293168361).epsilon(1e-15));
  CHECK(parse_quantity("2 min", D::time) == Approx(120.0).epsilon(1e-15));
  CHECK(parse_quantity("1 h", D::time) == Approx(3600.0).epsilon(1e-15));
  CHECK(parse_quantity("6 l/min", D::flow_rate) == Approx(1e-4).epsilon(1e-15));
  CHECK(parse_quantity("36 kg/h", D::mass_rate) == Approx(0.01).epsilon(1e-15));
  CHECK(parse_quantity("180 deg", D::angle) == Approx(3.141592653589793).epsilon(1e-15));
  CHECK(parse_quantity("10 deg", D::angle_in_degrees) == 10.0);
}

TEST_CASE("blanks, signs and the usual ways to write a unit are all read", "[io]") {
  CHECK(parse_quantity("220degC", D::temperature) == 493.15);
  CHECK(parse_quantity(" 220  \u00b0C ", D::temperature) == 493.15);
  CHECK(parse_quantity("5 \u00b5m", D::length) == 5e-6);
  CHECK(parse_quantity("+5 \u03bcm", D::length) == 5e-6);
  CHECK(parse_quantity("40 cm\u00b3/s", D::flow_rate) == 40e-6);
  CHECK(parse_quantity("-.5e1 mm", D::length) == -5e-3);
  CHECK(parse_quantity("10000 W/(m2  K)", D::conductance) == 1e4);
}

TEST_CASE("what is no quantity of the wanted dimension is refused with the reason", "[io]") {
  CHECK_THAT(reason("1.2", D::length), Catch::Contains("has no unit") && Catch::Contains("1.2 mm"));
  CHECK_THAT(reason("40 mm", D::temperature),
             Catch::Contains("unit of a length") && Catch::Contains("a temperature belongs here"));
  CHECK_THAT(reason("40 parsec", D::length),
             Catch::Contains("unknown unit \"parsec\"") && Catch::Contains("mm"));
  for (const char* bad :
       {"", "mm", "nan mm", "inf mm", "-inf mm", "1e400 mm", "1e99999999999999999999 mm",
        "1e-400 mm", "1.2.3 mm", "--1 mm", "0x10 mm", "1,2 mm", "1e mm", "1 mm mm"}) {
    INFO(bad);
    CHECK_FALSE(reason(bad, D::length).empty());
  }
  CHECK_FALSE(reason("1.7e308 h", D::time).empty());
  CHECK_FALSE(reason(std::string(100000, '1') + " mm", D::length).empty());
}

TEST_CASE("every finite double is written so that it reads back with the same bits", "[io]") {
  std::mt19937_64 random(20);
  for (const Dimension dim : kAll) {
    INFO(dimension_name(dim));
    int wrong = 0;
    for (int i = 0; i < 300; ++i) {
      const double any = std::bit_cast<double>(random());
      const double usual = std::ldexp(static_cast<double>(random() % 1000000007u),
                                      -static_cast<int>(random() % 40u));
      // Near the limits of a double a unit with an exponent has no text for it; no measure is
      // there.
      if (std::abs(any) < 1e290 && std::abs(any) > 1e-290 &&
          parse_quantity(format_quantity(any, dim), dim) != any) {
        ++wrong;
      }
      if (parse_quantity(format_quantity(usual, dim), dim) != usual) ++wrong;
      if (parse_quantity(format_quantity(-usual, dim), dim) != -usual) ++wrong;
    }
    CHECK(wrong == 0);
    CHECK(parse_quantity(format_quantity(0.0, dim), dim) == 0.0);
    CHECK_NOTHROW(parse_quantity(example_quantity(dim), dim));
    for (const std::string& unit : unit_symbols(dim))
      CHECK_NOTHROW(parse_quantity("1 " + unit, dim));
  }
}

TEST_CASE("quantities are written in the handy unit", "[io]") {
  CHECK(format_quantity(1.2e-3, D::length) == "1.2 mm");
  CHECK(format_quantity(5e-6, D::length) == "5 um");
  CHECK(format_quantity(493.15, D::temperature) == "220 degC");
  CHECK(format_quantity(180e6, D::pressure) == "180 MPa");
  CHECK(format_quantity(300e6, D::pressure) == "300 MPa");  // not 3e8 Pa, which is shorter
  CHECK(format_quantity(0.05, D::ratio) == "5 %");
  CHECK(format_quantity(15.0 * 3.141592653589793 / 180.0, D::angle) == "15 deg");
  CHECK(format_quantity(1e4, D::conductance) == "10000 W/(m2 K)");
  CHECK(format_number(0.0001) == "0.0001");
  CHECK(format_number(1.5e300) == "1.5e300");
  CHECK(format_number(-12.25) == "-12.25");
}

TEST_CASE("bare coordinates go to metres and back, in metres without loss", "[io]") {
  std::mt19937_64 random(7);
  for (int i = 0; i < 300; ++i) {
    const double metres = std::ldexp(static_cast<double>(random()), -64) - 0.3;
    CHECK(convert_quantity(std::stod(format_number_in(metres, "m", D::length)), "m", D::length) ==
          metres);
    const double bare = std::stod(format_number_in(metres, "mm", D::length));
    // Half a unit in the last place on the way in and on the way out.
    CHECK(convert_quantity(bare, "mm", D::length) == Approx(metres).epsilon(3e-16));
  }
  CHECK(convert_quantity(30.1, "mm", D::length) == 30.1e-3);
  CHECK(format_number_in(30.1e-3, "mm", D::length) == "30.1");
  CHECK_THROWS_AS(format_number_in(1.0, "in", D::length), UnitError);
  CHECK_THROWS_AS(format_number_in(1.0, "degC", D::length), UnitError);
}
