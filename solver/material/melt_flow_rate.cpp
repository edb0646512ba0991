#include "solver/material/melt_flow_rate.hpp"

#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

constexpr double pi = std::numbers::pi;

// The instrument [ISO1133].
constexpr double test_temperature = 473.15;   // [K]
constexpr double test_load = 5.0;             // [kg]
constexpr double standard_gravity = 9.80665;  // [m/s²]
constexpr double die_length = 8.000e-3;       // [m]
constexpr double die_radius = 0.5 * 2.095e-3;
constexpr double barrel_bore = 9.550e-3;
constexpr double piston_head = 9.474e-3;
constexpr double grams_in_ten_minutes = 6.0e5;  // per kg/s

// ∫ τ^k γ̇ ds over s = ln γ̇ up to the rate at the wall, in units of τ_w^k, by Simpson's rule.
// ∫ τ^(k-1) γ̇ dτ = (τ_w^k γ̇_w - this integral)/k, which needs no slope of the law.
double stress_moment(const ViscosityLaw& law, double T, double wall_rate, int k) {
  constexpr double span = 20.0;  // what is left out is below 1e-13 of the whole
  constexpr int intervals = 4000;
  constexpr double step = span / intervals;
  const double wall_stress = wall_rate * viscosity(law, wall_rate, T, 0.0);
  double sum = 0.0;
  for (int i = 0; i <= intervals; ++i) {
    const double rate = wall_rate * std::exp(-step * i);
    const double stress = rate * viscosity(law, rate, T, 0.0) / wall_stress;
    const double weight = i == 0 || i == intervals ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
    sum += weight * std::pow(stress, k) * rate;
  }
  return sum * step / 3.0;
}

}  // namespace

double shear_rate_at_stress(const ViscosityLaw& law, double temperature, double stress) {
  double low = -460.0;  // ln γ̇ [ln 1/s], 1e-200 …
  double high = 460.0;  // … to 1e200
  constexpr int halvings = 64;
  for (int i = 0; i < halvings; ++i) {
    const double middle = 0.5 * (low + high);
    const double rate = std::exp(middle);
    (rate * viscosity(law, rate, temperature, 0.0) < stress ? low : high) = middle;
  }
  return std::exp(0.5 * (low + high));
}

double capillary_flow_rate(const ViscosityLaw& law, double temperature, double radius,
                           double wall_stress) {
  const double wall_rate = shear_rate_at_stress(law, temperature, wall_stress);
  const double share = (wall_rate - stress_moment(law, temperature, wall_rate, 3)) / 3.0;
  return pi * radius * radius * radius * share;
}

double slit_flow_rate(const ViscosityLaw& law, double temperature, const Slit& slit,
                      double wall_stress) {
  const double wall_rate = shear_rate_at_stress(law, temperature, wall_stress);
  const double share = (wall_rate - stress_moment(law, temperature, wall_rate, 2)) / 2.0;
  return 0.5 * slit.width * slit.thickness * slit.thickness * share;
}

double melt_flow_rate(const ViscosityLaw& law, double density, double end_correction) {
  // The load acts on the mean of the barrel's and the piston's area.
  const double area = pi / 8.0 * (barrel_bore * barrel_bore + piston_head * piston_head);
  const double pressure = test_load * standard_gravity / area;
  const double wall_stress =
      pressure * die_radius / (2.0 * (die_length + end_correction * die_radius));
  const double Q = capillary_flow_rate(law, test_temperature, die_radius, wall_stress);
  return grams_in_ten_minutes * density * Q;
}

MeltFlowRate predicted_melt_flow_rate(const Material& material) {
  const auto at = [&](double end_correction) {
    return melt_flow_rate(material.viscosity, material.density_melt, end_correction);
  };
  constexpr double usual = 3.0, strong = 4.0, weak = 2.0;
  return {at(usual), at(strong), at(weak)};
}

}  // namespace firstshot
