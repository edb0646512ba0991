#include "solver/material/material.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace firstshot {
namespace {

constexpr double tait_constant = 0.0894;  // the same for all polymers [Zoller1995]

// v0(T) [m³/kg] and B(T) [Pa] of the domain that T and p lie in.
struct TaitPoint {
  double v0, B;
};

TaitPoint tait_point(const TaitPvt& pvt, double T, double p) {
  const double t = T - pvt.b5;
  if (t > pvt.b6 * p) return {pvt.b1m + pvt.b2m * t, pvt.b3m * std::exp(-pvt.b4m * t)};
  return {pvt.b1s + pvt.b2s * t, pvt.b3s * std::exp(-pvt.b4s * t)};
}

}  // namespace

double specific_volume(const TaitPvt& pvt, double temperature, double pressure) {
  const auto [v0, B] = tait_point(pvt, temperature, pressure);
  return v0 * (1.0 - tait_constant * std::log1p(pressure / B));
}

double compressibility(const TaitPvt& pvt, double temperature, double pressure) {
  const double B = tait_point(pvt, temperature, pressure).B;
  return tait_constant / ((B + pressure) * (1.0 - tait_constant * std::log1p(pressure / B)));
}

double HeatCapacity::at(double T) const {
  assert(!temperature.empty() && temperature.size() == value.size());
  const auto above = std::upper_bound(temperature.begin(), temperature.end(), T);
  if (above == temperature.begin()) return value.front();
  if (above == temperature.end()) return value.back();
  const auto i = static_cast<std::size_t>(above - temperature.begin());
  const double s = (T - temperature[i - 1]) / (temperature[i] - temperature[i - 1]);
  return value[i - 1] + s * (value[i] - value[i - 1]);
}

}  // namespace firstshot
