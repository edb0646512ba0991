#include "solver/flow/air_gas.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace firstshot::air {
namespace {

/// cp/R = a0 + a1 T + … + a4 T⁴; h/R and s/R add the constants of integration a5 and a6.
using Coefficients = std::array<double, 7>;
constexpr Coefficients nitrogen_low{3.298677,      1.4082404e-3, -3.963222e-6, 5.641515e-9,
                                    -2.444854e-12, -1020.8999,   3.950372};
constexpr Coefficients nitrogen_high{2.92664,       1.4879768e-3, -5.68476e-7, 1.0097038e-10,
                                     -6.753351e-15, -922.7977,    5.980528};
constexpr Coefficients oxygen_low{3.78245636,     -2.99673416e-3, 9.84730201e-6, -9.68129509e-9,
                                  3.24372837e-12, -1063.94356,    3.65767573};
constexpr Coefficients oxygen_high{3.28253784,      1.48308754e-3, -7.57966669e-7, 2.09470555e-10,
                                   -2.16717794e-14, -1088.45772,   5.45323129};
constexpr Coefficients argon{2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.366};
/// Shares of volume in dry air, the traces left out [-].
constexpr double nitrogen_share = 0.7811, oxygen_share = 0.2096, argon_share = 0.0093;
constexpr double meeting_temperature = 1000.0;  ///< of the two ranges [K]
constexpr double lowest = 200.0, highest = 3500.0;

constexpr Coefficients mixed(const Coefficients& n2, const Coefficients& o2) {
  Coefficients c{};
  for (std::size_t i = 0; i < c.size(); ++i)
    c[i] = nitrogen_share * n2[i] + oxygen_share * o2[i] + argon_share * argon[i];
  return c;
}
constexpr Coefficients low = mixed(nitrogen_low, oxygen_low);
constexpr Coefficients high = mixed(nitrogen_high, oxygen_high);

const Coefficients& at(double T) { return T < meeting_temperature ? low : high; }

double enthalpy_of(const Coefficients& a, double T) {
  return gas_constant *
         (a[5] + T * (a[0] + T * (a[1] / 2 + T * (a[2] / 3 + T * (a[3] / 4 + T * a[4] / 5)))));
}
double entropy_of(const Coefficients& a, double T) {
  return gas_constant *
         (a[6] + a[0] * std::log(T) + T * (a[1] + T * (a[2] / 2 + T * (a[3] / 3 + T * a[4] / 4))));
}

}  // namespace

double heat_capacity(double T) {
  const Coefficients& a = at(T);
  return gas_constant * (a[0] + T * (a[1] + T * (a[2] + T * (a[3] + T * a[4]))));
}

// The published constants leave a small jump where the ranges meet; it is taken out, because
// differences across it are wanted.
double enthalpy(double T) {
  static const double jump =
      enthalpy_of(low, meeting_temperature) - enthalpy_of(high, meeting_temperature);
  return T < meeting_temperature ? enthalpy_of(low, T) : enthalpy_of(high, T) + jump;
}

double entropy(double T) {
  static const double jump =
      entropy_of(low, meeting_temperature) - entropy_of(high, meeting_temperature);
  return T < meeting_temperature ? entropy_of(low, T) : entropy_of(high, T) + jump;
}

double adiabatic_temperature(double temperature, double ratio) {
  const double wanted = entropy(temperature) + gas_constant * std::log(ratio);
  constexpr double usual_exponent = 0.2857;  // (γ - 1)/γ for γ = 1.4, a first guess
  double T = std::clamp(temperature * std::pow(ratio, usual_exponent), lowest, highest);
  constexpr int most = 30;
  for (int i = 0; i < most; ++i) {
    const double step = (wanted - entropy(T)) / heat_capacity(T);  // of ln T
    T = std::clamp(T * std::exp(step), lowest, highest);
    constexpr double close_enough = 1e-14;
    if (std::abs(step) < close_enough) break;
  }
  return T;
}

double viscosity(double T) {
  constexpr double reference = 1.716e-5;  // [Pa s] at 273.15 K
  constexpr double zero_celsius = 273.15;
  constexpr double sutherland = 110.4;  // [K]
  return reference * std::pow(T / zero_celsius, 1.5) * (zero_celsius + sutherland) /
         (T + sutherland);
}

double diffusivity(double T, double pressure) {
  constexpr double reference = 2.46e-5;  // [m²/s] at 320 K and 1 bar, tables of air (from memory)
  constexpr double reference_temperature = 320.0, reference_pressure = 1e5, exponent = 1.75;
  return reference * std::pow(T / reference_temperature, exponent) * reference_pressure / pressure;
}

double temperature_after(double temperature, double before, double after, double wall,
                         double tau_over_dt) {
  const double rise = adiabatic_temperature(temperature, after / before) - temperature;
  const double x = 1.0 / std::max(tau_over_dt, 1e-300);
  const double kept = std::exp(-x);
  constexpr double small = 1e-8;
  const double share = x < small ? 1.0 - 0.5 * x : -std::expm1(-x) / x;
  return wall + (temperature - wall) * kept + rise * share;
}

}  // namespace firstshot::air
