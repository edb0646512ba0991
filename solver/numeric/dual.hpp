// A number with its slope along one direction: what is computed with it gives its own derivative,
// exact to rounding. For models of a few hundred operations; differences stay the witness in tests.
#pragma once

#include <cmath>

namespace firstshot {

struct Dual {
  double value = 0.0, slope = 0.0;
  constexpr Dual() = default;
  constexpr Dual(double v, double s = 0.0) : value(v), slope(s) {}  // NOLINT: a number is a Dual
};

constexpr Dual operator+(Dual a, Dual b) { return {a.value + b.value, a.slope + b.slope}; }
constexpr Dual operator-(Dual a, Dual b) { return {a.value - b.value, a.slope - b.slope}; }
constexpr Dual operator*(Dual a, Dual b) {
  return {a.value * b.value, a.slope * b.value + a.value * b.slope};
}
constexpr Dual operator/(Dual a, Dual b) {
  return {a.value / b.value, (a.slope - a.value / b.value * b.slope) / b.value};
}
constexpr Dual& operator+=(Dual& a, Dual b) { return a = a + b; }
inline Dual pow(Dual a, double exponent) {
  const double p = std::pow(a.value, exponent);
  return {p, a.slope == 0.0 ? 0.0 : exponent * p / a.value * a.slope};
}
inline Dual exp(Dual a) {
  const double e = std::exp(a.value);
  return {e, e * a.slope};
}

/// The number itself, for decisions.
constexpr double plain(double a) { return a; }
constexpr double plain(Dual a) { return a.value; }

}  // namespace firstshot
