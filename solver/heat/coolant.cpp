#include "solver/heat/coolant.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

constexpr double laminar_nusselt = 3.66, laminar_end = 2300.0, turbulent_begin = 4000.0;

struct WaterPoint {
  double celsius;
  Water water;
};
// Saturated water as in textbook tables (Incropera & DeWitt, table A.6; from memory, unconfirmed).
constexpr std::array<WaterPoint, 7> points = {{
    {5.0, {1000.0, 4205.0, 1519e-6, 0.571}},
    {20.0, {998.2, 4184.0, 1002e-6, 0.598}},
    {35.0, {994.0, 4178.0, 719e-6, 0.623}},
    {50.0, {988.0, 4181.0, 547e-6, 0.644}},
    {65.0, {980.6, 4187.0, 433e-6, 0.659}},
    {80.0, {971.8, 4197.0, 354e-6, 0.670}},
    {95.0, {961.9, 4212.0, 297e-6, 0.677}},
}};

double between(double a, double b, double s) { return a + s * (b - a); }

}  // namespace

Water water(double temperature) {
  constexpr double zero_celsius = 273.15;
  const double t =
      std::clamp(temperature - zero_celsius, points.front().celsius, points.back().celsius);
  std::size_t i = 1;
  while (i + 1 < points.size() && t > points[i].celsius) ++i;
  const WaterPoint& a = points[i - 1];
  const WaterPoint& b = points[i];
  const double s = (t - a.celsius) / (b.celsius - a.celsius);
  // Viscosity falls by a factor per step, the rest hardly moves.
  return {between(a.water.density, b.water.density, s),
          between(a.water.heat_capacity, b.water.heat_capacity, s),
          std::exp(between(std::log(a.water.viscosity), std::log(b.water.viscosity), s)),
          between(a.water.conductivity, b.water.conductivity, s)};
}

double nusselt_turbulent(double reynolds, double prandtl, double friction) {
  return friction / 8.0 * (reynolds - 1000.0) * prandtl /
         (1.0 + 12.7 * std::sqrt(friction / 8.0) * (std::cbrt(prandtl * prandtl) - 1.0));
}

double nusselt(double reynolds, double prandtl) {
  if (reynolds <= laminar_end) return laminar_nusselt;
  const double re = std::max(reynolds, turbulent_begin);
  const double f = std::pow(0.79 * std::log(re) - 1.64, -2.0);
  const double turbulent = nusselt_turbulent(re, prandtl, f);
  const double s = std::min(1.0, (reynolds - laminar_end) / (turbulent_begin - laminar_end));
  return between(laminar_nusselt, turbulent, s);
}

BoreFlow bore_flow(double diameter, double flow_rate, double temperature) {
  const Water w = water(temperature);
  BoreFlow b;
  b.velocity = flow_rate / (std::numbers::pi / 4.0 * diameter * diameter);
  b.reynolds = w.density * b.velocity * diameter / w.viscosity;
  b.nusselt = nusselt(b.reynolds, w.prandtl());
  b.conductance = b.nusselt * w.conductivity / diameter;
  return b;
}

}  // namespace firstshot
