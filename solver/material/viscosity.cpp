#include "solver/material/viscosity.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {
namespace {

// Largest exponent that keeps exp() finite; viscosities stop growing there instead of overflowing.
constexpr double largest_exponent = 690.0;

double bounded_exp(double exponent) {
  return std::exp(std::clamp(exponent, -largest_exponent, largest_exponent));
}

// 1 / (1 + x^(1-n)) with ln x given, safe for any ln x.
double cross_factor(double log_x, double n) {
  const double log_power = (1.0 - n) * log_x;
  if (log_power > 0.0) {
    const double inverse = std::exp(-log_power);
    return inverse / (1.0 + inverse);
  }
  return 1.0 / (1.0 + std::exp(log_power));
}

double cross_viscosity(double eta0, double tau_star, double n, double shear_rate) {
  if (shear_rate <= 0.0) return eta0;
  return eta0 * cross_factor(std::log(eta0) + std::log(shear_rate) - std::log(tau_star), n);
}

double zero_shear(const CrossWlf& law, double T, double p) {
  const double denominator = law.A2 + T - law.D2;  // = A2 + T - T*, the pressure shift cancels
  if (denominator <= 0.0) return bounded_exp(largest_exponent);
  return bounded_exp(std::log(law.D1) - law.A1 * (T - law.D2 - law.D3 * p) / denominator);
}
double zero_shear(const CrossExponential& law, double T, double p) {
  return bounded_exp(std::log(law.B) + law.Tb / T + law.beta * p);
}
double zero_shear(const Newtonian& law, double T, double /*p*/) {
  return law.eta_ref * bounded_exp(-law.b * (T - law.T_ref));
}
double zero_shear(const PowerLaw& law, double T, double /*p*/) {
  return bounded_exp((std::log(law.K) - law.b * (T - law.T_ref)) / law.n);
}

double at_shear_rate(const CrossWlf& law, double shear_rate, double T, double p) {
  return cross_viscosity(zero_shear(law, T, p), law.tau_star, law.n, shear_rate);
}
double at_shear_rate(const CrossExponential& law, double shear_rate, double T, double p) {
  return cross_viscosity(zero_shear(law, T, p), law.tau_star, law.n, shear_rate);
}
double at_shear_rate(const Newtonian& law, double /*shear_rate*/, double T, double p) {
  return zero_shear(law, T, p);
}
double at_shear_rate(const PowerLaw& law, double shear_rate, double T, double /*p*/) {
  return bounded_exp(std::log(law.K) - law.b * (T - law.T_ref) -
                     (1.0 - law.n) * std::log(shear_rate));
}

double scale_of(const CrossWlf& law) { return law.tau_star; }
double scale_of(const CrossExponential& law) { return law.tau_star; }
double scale_of(const Newtonian& /*law*/) { return 1.0; }
double scale_of(const PowerLaw& /*law*/) { return 1.0; }

double index_of(const CrossWlf& law) { return law.n; }
double index_of(const CrossExponential& law) { return law.n; }
double index_of(const Newtonian& /*law*/) { return 1.0; }
double index_of(const PowerLaw& law) { return law.n; }

void scale(CrossWlf& law, double factor) { law.D1 *= factor; }
void scale(CrossExponential& law, double factor) { law.B *= factor; }
void scale(Newtonian& law, double factor) { law.eta_ref *= factor; }
// γ̇ = (τ/K)^(1/n): at equal stress the viscosity grows by `factor` when K^(1/n) does.
void scale(PowerLaw& law, double factor) { law.K *= std::pow(factor, law.n); }

}  // namespace

double viscosity(const ViscosityLaw& law, double shear_rate, double temperature, double pressure) {
  return std::visit(
      [&](const auto& l) { return at_shear_rate(l, shear_rate, temperature, pressure); }, law);
}

double zero_shear_viscosity(const ViscosityLaw& law, double temperature, double pressure) {
  return std::visit([&](const auto& l) { return zero_shear(l, temperature, pressure); }, law);
}

double stress_scale(const ViscosityLaw& law) {
  return std::visit([](const auto& l) { return scale_of(l); }, law);
}

double flow_index(const ViscosityLaw& law) {
  return std::visit([](const auto& l) { return index_of(l); }, law);
}

ViscosityLaw scaled(const ViscosityLaw& law, double factor) {
  ViscosityLaw result = law;
  std::visit([&](auto& l) { scale(l, factor); }, result);
  return result;
}

double temperature_at_viscosity(const ViscosityLaw& law, double eta) {
  if (std::holds_alternative<PowerLaw>(law)) return 0.0;  // has no zero-shear viscosity
  double cold = 300.0;
  double hot = 700.0;
  if (zero_shear_viscosity(law, cold, 0.0) < eta) return 0.0;
  constexpr int halvings = 60;  // 400 K / 2^60: below the spacing of doubles
  for (int i = 0; i < halvings; ++i) {
    const double middle = 0.5 * (cold + hot);
    (zero_shear_viscosity(law, middle, 0.0) >= eta ? cold : hot) = middle;
  }
  return 0.5 * (cold + hot);
}

}  // namespace firstshot
