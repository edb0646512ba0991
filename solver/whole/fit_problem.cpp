#include "solver/whole/fit_problem.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include "solver/numeric/student_t.hpp"

namespace firstshot {
namespace {

/// -Φ'/Φ: slope of -ln Φ(z).
double slope_of_mark(double z) {
  const double log_density = -0.5 * z * z - 0.5 * std::log(2.0 * std::numbers::pi);
  return -std::exp(log_density - log_normal_share(z));
}

/// z and its slope over the forecast.
std::pair<double, double> mark_place(const Measured& m, double forecast) {
  const double side = m.kind == MeasuredKind::above ? 1.0 : -1.0;
  return {side * (forecast - m.value) / m.scatter, side / m.scatter};
}

}  // namespace

double residual_of(const Measured& m, double forecast) {
  if (m.kind == MeasuredKind::number) return (m.value - forecast) / m.scatter;
  return std::sqrt(-2.0 * log_normal_share(mark_place(m, forecast).first));
}

double residual_slope_of(const Measured& m, double forecast) {
  if (m.kind == MeasuredKind::number) return -1.0 / m.scatter;
  const auto [z, dz] = mark_place(m, forecast);
  const double r = residual_of(m, forecast);
  return r > 0.0 ? slope_of_mark(z) / r * dz : 0.0;
}

double sum_at(const FitProblem& problem, const std::vector<double>& point,
              const std::vector<double>& forecast, double s) {
  double sum = 0.0;
  for (std::size_t i = 0; i < problem.measured.size(); ++i) {
    const double r = residual_of(problem.measured[i], forecast[i]);
    sum += problem.measured[i].kind == MeasuredKind::number ? r * r / (s * s) : r * r;
  }
  for (std::size_t j = 0; j < point.size(); ++j) {
    const double d = (point[j] - problem.factors[j].mean) / problem.factors[j].spread;
    sum += d * d;
  }
  return sum;
}

}  // namespace firstshot
