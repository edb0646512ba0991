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

double time_of_volume(std::span<const FillingPiece> pieces, double volume) {
  double all = 0.0, low = 0.0, high = 0.0;
  for (const FillingPiece& p : pieces) {
    all += p.volume;
    high = std::max(high, p.end);
  }
  if (all < volume) return -1.0;
  const auto melt = [&](double time) {
    double sum = 0.0;
    for (const FillingPiece& p : pieces)
      if (time >= p.end)
        sum += p.volume;
      else if (time > p.begin)
        sum += p.volume * (time - p.begin) / (p.end - p.begin);
    return sum;
  };
  constexpr int halvings = 50;  // to rounding
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    (melt(middle) < volume ? low : high) = middle;
  }
  return high;
}

ForecastRange viscosity_range(double value, double band, double limit) {
  ForecastRange out{value * std::max(0.0, 1.0 - band), value * (1.0 + band)};
  if (limit > 0.0) out.high = std::min(out.high, std::max(limit, value));
  return out;
}

}  // namespace firstshot
