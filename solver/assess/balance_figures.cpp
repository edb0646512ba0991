#include "solver/assess/balance_figures.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {

std::optional<Side> side_of(const Point& centre, const Point& injection) {
  const double dx = centre.x - injection.x;
  const double dy = centre.y - injection.y;
  if (dx == 0.0 && dy == 0.0) return std::nullopt;
  if (std::abs(dx) >= std::abs(dy)) return dx < 0.0 ? Side::left : Side::right;
  return dy < 0.0 ? Side::bottom : Side::top;
}

std::optional<double> fill_time_spread(std::span<const double> full) {
  if (full.size() < 2) return std::nullopt;
  const auto [first, last] = std::minmax_element(full.begin(), full.end());
  if (*first < 0.0) return std::nullopt;
  return *last - *first;
}

ForecastRange viscosity_range(double value, double band, double limit) {
  ForecastRange out{value * std::max(0.0, 1.0 - band), value * (1.0 + band)};
  if (limit > 0.0) out.high = std::min(out.high, std::max(limit, value));
  return out;
}

}  // namespace firstshot
