#include "solver/flow/rectangle_duct.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace firstshot {

double rectangle_of_factor(double factor) {
  const auto factor_of = [](double ratio) {
    // One-term series with the rest of the sum of 1/k⁵ put in its limit; symmetric in the sides.
    const double r = std::min(ratio, 1.0 / ratio);
    const double wide = 1.0 - 0.630 * r * (1.0 - std::pow(r, 4) / 12.0);
    return ratio <= 1.0 ? wide : wide / (ratio * ratio);
  };
  constexpr double most = 1e3;
  if (factor >= 1.0) return 0.0;
  double low = 0.0, high = most;
  constexpr int halvings = 60;
  for (int i = 0; i < halvings; ++i) {
    const double middle = 0.5 * (low + high);
    (factor_of(std::max(middle, 1.0 / most / most)) > factor ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

namespace {

/// Excess of the centre of a slab of unit gap over its walls after the time t, at first 1; t = time
/// × diffusivity / gap² [CarslawJaeger1959].
double slab_centre(double t) {
  constexpr double least = 0.005;  // until then the centre has felt nothing (1e-6)
  if (t < least) return 1.0;
  constexpr double pi2 = std::numbers::pi * std::numbers::pi;
  double sum = 0.0;
  for (int k = 0; k < 6; ++k) {
    const double odd = 2.0 * k + 1.0;
    sum += (k % 2 == 0 ? 1.0 : -1.0) * std::exp(-odd * odd * pi2 * t) / odd;
  }
  return 4.0 / std::numbers::pi * sum;
}

/// Share of its excess at which the centre of a section counts as cool: 80 °C between melt of 220
/// and a mould of 40 °C.
constexpr double cool = 2.0 / 9.0;

}  // namespace

CoolingSlab slab_of_rectangle(double ratio) {
  const auto time_until_cool = [](double r) {
    double low = 0.0, high = 1.0;
    constexpr int halvings = 40;
    for (int i = 0; i < halvings; ++i) {
      const double t = 0.5 * (low + high);
      (slab_centre(t) * slab_centre(r * r * t) > cool ? low : high) = t;
    }
    return low;
  };
  CoolingSlab slab;
  slab.gap = std::sqrt(time_until_cool(ratio) / time_until_cool(0.0));
  const double square = ratio * ratio;
  slab.contact = (1.0 + square) / (1.0 + square * ratio) / slab.gap;
  return slab;
}

namespace {

/// Profile of F across a rectangle, F(y) = 1 - cosh(2 a y/W)/cosh a, a = √10/(2 ratio): its mean
/// weighted by F³, by which the middle of the section counts.
double middle_of_rectangle(double ratio) {
  constexpr int n = 64;
  const double a = std::sqrt(10.0) / (2.0 * ratio);
  double third = 0.0, fourth = 0.0;
  for (int i = 0; i < n; ++i) {
    const double y = (i + 0.5) / n;
    // cosh(a y)/cosh(a) without overflow.
    const double fall =
        (std::exp(a * (y - 1.0)) + std::exp(-a * (y + 1.0))) / (1.0 + std::exp(-2.0 * a));
    const double f = 1.0 - fall;
    third += f * f * f;
    fourth += f * f * f * f;
  }
  return fourth / third;
}

}  // namespace

CoolingSlabs::CoolingSlabs() {
  for (int i = 0; i <= steps; ++i) slab_[i] = slab_of_rectangle(static_cast<double>(i) / steps);
}

CoolingSlab CoolingSlabs::operator()(double ratio) const {
  if (ratio > 1.0) {  // the same rectangle seen from its side
    const CoolingSlab turned = (*this)(1.0 / ratio);
    return {turned.gap / ratio, turned.contact};
  }
  const double step = ratio * steps;
  const int low = std::min(static_cast<int>(step), steps - 1);
  const double share = step - low;
  const CoolingSlab &a = slab_[low], &b = slab_[low + 1];
  return {a.gap + share * (b.gap - a.gap), a.contact + share * (b.contact - a.contact)};
}

double RectangleOfMiddle::ratio(double step) {
  constexpr double least = 0.02, most = 50.0;
  return least * std::pow(most / least, step / steps);
}

RectangleOfMiddle::RectangleOfMiddle() {
  for (int i = 0; i <= steps; ++i) mean_[i] = middle_of_rectangle(ratio(i));
}

double RectangleOfMiddle::operator()(double mean) const {
  if (mean >= mean_.front()) return 0.0;
  if (mean <= mean_.back()) return ratio(steps);
  int low = 0, high = steps;  // means fall with the ratio
  while (high - low > 1) {
    const int middle = (low + high) / 2;
    (mean_[middle] > mean ? low : high) = middle;
  }
  const double share = (mean_[low] - mean) / (mean_[low] - mean_[high]);
  return ratio(low + share);
}

}  // namespace firstshot
