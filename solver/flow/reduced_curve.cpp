#include "solver/flow/reduced_curve.hpp"

#include <cmath>

namespace firstshot {
namespace {

/// Cross law as a curve over y = ln x.
struct CrossCurve {
  double n;
  /// ln s = y - ln(1 + e^((1-n) y))
  double log_stress(double y) const {
    const double a = (1.0 - n) * y;
    return y - (a > 0.0 ? a + std::log1p(std::exp(-a)) : std::log1p(std::exp(a)));
  }
  /// d ln s / dy
  double slope(double y) const { return 1.0 - (1.0 - n) / (1.0 + std::exp(-(1.0 - n) * y)); }
  /// y at a given ln s; Newton converges from the right side since ln s is concave in y.
  double log_rate(double log_s) const {
    double y = log_s < 0.0 ? log_s : log_s / n;
    for (int i = 0; i < 100; ++i) {
      const double step = (log_stress(y) - log_s) / slope(y);
      y -= step;
      if (std::abs(step) < 1e-14 * (1.0 + std::abs(y))) break;
    }
    return y;
  }
};

/// ∫ s^k x S dy from y0 to y1 (Gauss, 5 points), S = d ln s/dy: the growth of M_k.
double moment_growth(const CrossCurve& curve, int k, double y0, double y1) {
  constexpr double node[5] = {-0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831,
                              0.9061798459386640};
  constexpr double weight[5] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889,
                                0.4786286704993665, 0.2369268850561891};
  const double mid = 0.5 * (y0 + y1);
  const double half = 0.5 * (y1 - y0);
  double sum = 0.0;
  for (int i = 0; i < 5; ++i) {
    const double y = mid + half * node[i];
    sum += weight[i] * std::exp(k * curve.log_stress(y) + y) * curve.slope(y);
  }
  return half * sum;
}

}  // namespace

ReducedCurve::ReducedCurve(const ViscosityLaw& law)
    : n_(firstshot::flow_index(law)), stress_scale_(firstshot::stress_scale(law)) {
  if (std::holds_alternative<Newtonian>(law)) {
    kind_ = Kind::newtonian;
  } else if (std::holds_alternative<PowerLaw>(law)) {
    kind_ = Kind::power;
  } else {
    kind_ = Kind::cross;
    tabulate();
  }
}

void ReducedCurve::tabulate() {
  const CrossCurve curve{n_};
  const int cells = static_cast<int>((log_max - log_min) * cells_per_unit);
  const double width = 1.0 / cells_per_unit;
  constexpr double far_below = 40.0;  // e^-40: nothing lies left of it
  constexpr int start_cells = 4000;
  for (int k = 1; k <= 3; ++k) {
    const double y_start = curve.log_rate(log_min);
    double moment = 0.0;
    for (int i = 0; i < start_cells; ++i) {
      const double y0 = y_start - far_below + far_below * i / start_cells;
      moment += moment_growth(curve, k, y0, y0 + far_below / start_cells);
    }
    auto& table = cells_[static_cast<std::size_t>(k - 1)];
    table.resize(static_cast<std::size_t>(cells));
    const auto value_at = [&](double u, double y) {
      const double factor = moment * (k + 1) * std::exp(-(k + 1) * u);
      return Value{factor, (k + 1) * (std::exp(y - u) - factor)};
    };
    double y = y_start;
    Value left = value_at(log_min, y);
    for (int i = 0; i < cells; ++i) {
      const double u = log_min + (i + 1) * width;
      const double y_next = curve.log_rate(u);
      constexpr int parts = 4;
      for (int p = 0; p < parts; ++p)
        moment += moment_growth(curve, k, y + (y_next - y) * p / parts,
                                y + (y_next - y) * (p + 1) / parts);
      y = y_next;
      const Value right = value_at(u, y);
      const double rise = right.factor - left.factor;
      const double d0 = left.slope * width;
      const double d1 = right.slope * width;
      table[static_cast<std::size_t>(i)] = {left.factor, d0, 3.0 * rise - 2.0 * d0 - d1,
                                            d0 + d1 - 2.0 * rise};
      left = right;
    }
  }
}

ReducedCurve::Value ReducedCurve::power_moment(int k, double log_s) const {
  const double steep = 1.0 / n_ - 1.0;
  const double factor = (k + 1) / (k + 1.0 / n_) * std::exp(steep * log_s);
  return {factor, steep * factor};
}

ReducedCurve::Value ReducedCurve::beyond_table(int k, double log_s) const {
  const Cell& last = cells_[static_cast<std::size_t>(k - 1)].back();
  const double steep = 1.0 / n_ - 1.0;
  const double factor =
      (last.c0 + last.c1 + last.c2 + last.c3) * std::exp(steep * (log_s - log_max));
  return {factor, steep * factor};
}

double ReducedCurve::rate(double s) const {
  if (s <= 0.0) return 0.0;
  const Value m = moment<1>(std::log(s));
  return s * (m.factor + 0.5 * m.slope);
}

}  // namespace firstshot
