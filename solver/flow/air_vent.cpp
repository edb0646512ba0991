#include "solver/flow/air_vent.hpp"

#include <algorithm>
#include <cmath>

#include "solver/flow/air_gas.hpp"

namespace firstshot::air {
namespace {

constexpr double gamma = 1.4;  ///< cp/cv of air near room temperature [-]

}  // namespace

double slit_factor(const Opening& o) {
  constexpr double of_slit = 24.0;
  return o.width * o.depth * o.depth * o.depth / (of_slit * o.land);
}

double slit_outflow(const Opening& opening, double p1, double p2, double viscosity,
                    double temperature) {
  if (p1 <= p2) return 0.0;
  return slit_factor(opening) * (p1 - p2) * (p1 + p2) / (viscosity * gas_constant * temperature);
}

double orifice_outflow(double area, double p1, double p2, double temperature) {
  if (p1 <= p2) return 0.0;
  static const double critical = std::pow(2.0 / (gamma + 1.0), gamma / (gamma - 1.0));
  const double ratio = std::max(p2 / p1, critical);
  const double a = std::pow(ratio, 2.0 / gamma);
  const double b = std::pow(ratio, (gamma + 1.0) / gamma);
  return area * p1 *
         std::sqrt(2.0 * gamma / (gamma - 1.0) * (a - b) / (gas_constant * temperature));
}

double vent_outflow(const Opening& o, double p1, double p2, double wall_temperature,
                    double gas_temperature) {
  return std::min(slit_outflow(o, p1, p2, viscosity(wall_temperature), wall_temperature),
                  orifice_outflow(o.width * o.depth, p1, p2, gas_temperature));
}

double squeeze_pressure(double flow, double slit, double p2) {
  const double half = 0.5 * flow / slit;
  return half + std::sqrt(half * half + p2 * p2);
}

}  // namespace firstshot::air
