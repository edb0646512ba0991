#include "solver/heat/streams.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {
namespace {

/// Slope of the middle of three values, no steeper than twice either side and 0 at an extreme.
double limited(double below, double above, double central) {
  if (below * above <= 0.0) return 0.0;
  const double most = 2.0 * std::min(std::abs(below), std::abs(above));
  return std::copysign(std::min(std::abs(central), most), below);
}

}  // namespace

void cumulate(std::span<const double> share, std::span<double> upper) {
  double sum = 0.0;
  for (std::size_t c = 0; c < share.size(); ++c) {
    sum += share[c];
    upper[c] = std::min(sum, 1.0);
  }
  upper.back() = 1.0;
}

Streams::Streams(std::size_t nodes, std::size_t columns)
    : columns_(columns), upper_(nodes * columns), slope_(nodes * columns) {}

void Streams::leave(std::size_t node, std::span<const double> flow,
                    std::span<const double> temperature) {
  const std::size_t first = node * columns_;
  const std::span<double> upper(upper_.data() + first, columns_);
  cumulate(flow, upper);
  for (std::size_t c = 0; c < columns_; ++c) {
    const double width = upper[c] - (c > 0 ? upper[c - 1] : 0.0);
    const double T = temperature[c];
    double slope = 0.0;
    if (c > 0 && c + 1 < columns_ && width > 0.0) {
      const double below = 0.5 * (upper[c] - (c > 1 ? upper[c - 2] : 0.0));
      const double above = 0.5 * (upper[c + 1] - upper[c - 1]);
      const double low = (T - temperature[c - 1]) / below;
      const double high = (temperature[c + 1] - T) / above;
      // Twice the one-sided slope over this layer's own half width stays between the neighbours.
      slope = limited(low * below / width, high * above / width,
                      (temperature[c + 1] - temperature[c - 1]) / (below + above));
    }
    slope_[first + c] = slope;
  }
}

void Streams::arrive(std::size_t upstream, double rate, std::span<const double> temperature,
                     std::span<const double> upper, std::span<double> heat) const {
  const double* top = upper_.data() + upstream * columns_;
  const double* slope = slope_.data() + upstream * columns_;
  std::size_t l = 0;
  double bottom = 0.0, below = 0.0;  // of layer l: lower end of ψ, ∫ T dψ up to there
  double before = 0.0;
  for (std::size_t c = 0; c < columns_; ++c) {
    for (; l + 1 < columns_ && top[l] < upper[c]; ++l) {
      below += (top[l] - bottom) * temperature[l];
      bottom = top[l];
    }
    const double x = upper[c] - bottom;
    const double here = below + x * (temperature[l] + 0.5 * slope[l] * (x - (top[l] - bottom)));
    heat[c] += rate * (here - before);
    before = here;
  }
}

}  // namespace firstshot
