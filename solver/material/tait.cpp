#include "solver/material/tait.hpp"

#include <cmath>

namespace firstshot {
namespace {

constexpr double tait_constant = 0.0894;  // the same for all polymers [Zoller1995]

double filling(const TaitBranch& branch, double pressure) {
  return 1.0 - tait_constant * std::log1p(pressure / branch.B);
}

TaitBranch melt_branch(const TaitPvt& pvt, double temperature) {
  const double t = temperature - pvt.b5;
  return {pvt.b1m + pvt.b2m * t, pvt.b3m * std::exp(-pvt.b4m * t)};
}

}  // namespace

double transition_temperature(const TaitPvt& pvt, double pressure) {
  return pvt.b5 + pvt.b6 * pressure;
}

TaitBranch tait_branch(const TaitPvt& pvt, double temperature, double pressure) {
  if (temperature > transition_temperature(pvt, pressure)) return melt_branch(pvt, temperature);
  const double t = temperature - pvt.b5;
  return {pvt.b1s + pvt.b2s * t, pvt.b3s * std::exp(-pvt.b4s * t)};
}

double specific_volume(const TaitPvt& pvt, double temperature, double pressure) {
  const TaitBranch branch = tait_branch(pvt, temperature, pressure);
  return branch.v0 * filling(branch, pressure);
}

double compressibility(const TaitPvt& pvt, double temperature, double pressure) {
  const TaitBranch branch = tait_branch(pvt, temperature, pressure);
  return tait_constant / ((branch.B + pressure) * filling(branch, pressure));
}

double expansion(const TaitPvt& pvt, double temperature, double pressure) {
  const TaitBranch branch = tait_branch(pvt, temperature, pressure);
  const bool melt = temperature > transition_temperature(pvt, pressure);
  const double b2 = melt ? pvt.b2m : pvt.b2s;
  const double b4 = melt ? pvt.b4m : pvt.b4s;
  // dB/dT = -b4 B, so ln(1 + p/B) rises by b4 p/(B + p) per kelvin.
  return b2 / branch.v0 -
         tait_constant * b4 * pressure / ((branch.B + pressure) * filling(branch, pressure));
}

TaitDensity density_at(const TaitBranch& branch, double pressure) {
  const double share = filling(branch, pressure);
  const double rho = 1.0 / (branch.v0 * share);
  return {rho, rho * tait_constant / ((branch.B + pressure) * share)};
}

double linear_shrinkage_from_glass(const TaitPvt& pvt, double pressure, double room) {
  const TaitBranch melt = melt_branch(pvt, transition_temperature(pvt, pressure));
  const double hot = melt.v0 * filling(melt, pressure);
  return 1.0 - std::cbrt(specific_volume(pvt, room, 0.0) / hot);
}

}  // namespace firstshot
