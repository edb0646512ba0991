#include "solver/material/material.hpp"

#include <algorithm>
#include <cassert>

namespace firstshot {
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
