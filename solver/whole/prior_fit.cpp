#include "solver/whole/prior_fit.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "solver/stage/fill.hpp"

namespace firstshot {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

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

/// Residuals and their slopes at a point; numbers and marks apart, since s is of numbers only.
struct Tangent {
  VectorXd number, mark;              ///< r
  MatrixXd number_slope, mark_slope;  ///< dr/dφ
  VectorXd offset;                    ///< φ - μ
  VectorXd precision;                 ///< 1/τ²
};

Tangent tangent_at(const FitProblem& problem, const std::vector<double>& point,
                   const std::vector<double>& forecast, const Matrix& slopes) {
  const auto n_factors = static_cast<Index>(problem.factors.size());
  const auto n_numbers = static_cast<Index>(
      std::count_if(problem.measured.begin(), problem.measured.end(),
                    [](const Measured& m) { return m.kind == MeasuredKind::number; }));
  const Index n_marks = static_cast<Index>(problem.measured.size()) - n_numbers;
  Tangent t{VectorXd(n_numbers),          VectorXd(n_marks),   MatrixXd(n_numbers, n_factors),
            MatrixXd(n_marks, n_factors), VectorXd(n_factors), VectorXd(n_factors)};
  Index number = 0, mark = 0;
  for (std::size_t i = 0; i < problem.measured.size(); ++i) {
    const Measured& m = problem.measured[i];
    const bool is_number = m.kind == MeasuredKind::number;
    const Index row = is_number ? number++ : mark++;
    (is_number ? t.number : t.mark)(row) = residual_of(m, forecast[i]);
    const double slope = residual_slope_of(m, forecast[i]);
    for (Index j = 0; j < n_factors; ++j)
      (is_number ? t.number_slope : t.mark_slope)(row, j) =
          slope * slopes[i][static_cast<std::size_t>(j)];
  }
  for (Index j = 0; j < n_factors; ++j) {
    const PriorFactor& f = problem.factors[static_cast<std::size_t>(j)];
    t.offset(j) = point[static_cast<std::size_t>(j)] - f.mean;
    t.precision(j) = 1.0 / (f.spread * f.spread);
  }
  return t;
}

/// The quadratic form around a point at a scatter factor s.
struct Normal {
  MatrixXd data;       ///< what the numbers add to the curvature
  MatrixXd curvature;  ///< half of the second derivatives of the sum
  VectorXd gradient;   ///< half of the first ones
};

Normal normal_at(const Tangent& t, double s) {
  Normal n;
  n.data = t.number_slope.transpose() * t.number_slope / (s * s);
  n.curvature = n.data + t.mark_slope.transpose() * t.mark_slope;
  n.curvature.diagonal() += t.precision;
  n.gradient = t.number_slope.transpose() * t.number / (s * s) + t.mark_slope.transpose() * t.mark +
               t.precision.cwiseProduct(t.offset);
  return n;
}

double told_at(const Normal& n) { return n.curvature.ldlt().solve(n.data).trace(); }

/// s at the minimum of the tangent, where s and the minimum agree.
double scatter_at(const Tangent& t, bool known) {
  if (known || t.number.size() == 0) return 1.0;
  constexpr int most = 50;
  constexpr double close = 1e-6;
  double s = 1.0;
  for (int k = 0; k < most; ++k) {
    const Normal n = normal_at(t, s);
    const VectorXd left = t.number - t.number_slope * n.curvature.ldlt().solve(n.gradient);
    const double degrees = prior_degrees + static_cast<double>(t.number.size()) - told_at(n);
    const double next = std::sqrt((prior_degrees + left.squaredNorm()) / degrees);
    const bool settled = std::abs(next - s) < close * s;
    s = next;
    if (settled) break;
  }
  return s;
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

std::vector<double> inside(const FitProblem& problem, std::vector<double> point) {
  for (std::size_t j = 0; j < point.size(); ++j)
    point[j] = std::clamp(point[j], problem.factors[j].low, problem.factors[j].high);
  return point;
}

/// Secants towards larger factors, or smaller ones where the larger is out of bounds or without an
/// answer. @throws SolveError no answer on either side
Matrix secants(const FitProblem& problem, const ForecastModel& model,
               const std::vector<double>& point, const std::vector<double>& forecast,
               double share) {
  const std::size_t n = point.size();
  const auto moved = [&](std::size_t j, int way) {
    std::vector<double> p = point;
    p[j] += way * share * problem.factors[j].spread;
    return p;
  };
  std::vector<int> way(n);
  Matrix points;
  for (std::size_t j = 0; j < n; ++j) {
    way[j] = moved(j, 1)[j] <= problem.factors[j].high ? 1 : -1;
    points.push_back(moved(j, way[j]));
  }
  Forecasts seen = model(points);
  Matrix slopes(forecast.size(), std::vector<double>(n));
  for (std::size_t j = 0; j < n; ++j) {
    if (!seen[j]) {
      points[j] = moved(j, -way[j]);
      seen[j] = model({points[j]}).front();
    }
    if (!seen[j])
      throw SolveError("the forecast has no answer a little beside the best factors so far");
    for (std::size_t i = 0; i < forecast.size(); ++i)
      slopes[i][j] = ((*seen[j])[i] - forecast[i]) / (points[j][j] - point[j]);
  }
  return slopes;
}

struct Best {
  std::vector<double> point, forecast;
};

std::vector<double> step_from(const FitProblem& problem, const std::vector<double>& point,
                              const Normal& n, double damping) {
  MatrixXd curvature = n.curvature;
  curvature.diagonal() *= 1.0 + damping;
  const VectorXd step = curvature.ldlt().solve(n.gradient);
  std::vector<double> next = point;
  for (std::size_t j = 0; j < next.size(); ++j) next[j] -= step(static_cast<Index>(j));
  return inside(problem, next);
}

/// Length of a step in spreads of the posterior.
double length_of(const std::vector<double>& from, const std::vector<double>& to, const Normal& n) {
  VectorXd step(static_cast<Index>(from.size()));
  for (std::size_t j = 0; j < from.size(); ++j) step(static_cast<Index>(j)) = to[j] - from[j];
  return std::sqrt(step.dot(n.curvature * step));
}

/// Goes to the first damped step that makes the sum smaller. @return whether there was one
bool advance(const FitProblem& problem, const ForecastModel& model, const Tangent& t, double s,
             int most_tries, Best& best) {
  constexpr double first_damping = 1.0, growth = 4.0;
  const Normal n = normal_at(t, s);
  const double now = sum_at(problem, best.point, best.forecast, s);
  double damping = 0.0;
  for (int k = 0; k < most_tries; ++k) {
    const std::vector<double> next = step_from(problem, best.point, n, damping);
    auto seen = model({next}).front();
    if (seen && sum_at(problem, next, *seen, s) < now) {
      best = {next, std::move(*seen)};
      return true;
    }
    damping = damping == 0.0 ? first_damping : growth * damping;
  }
  return false;
}

void finish(PriorFit& fit, const Tangent& t, double s, bool known) {
  const Normal n = normal_at(t, s);
  const auto size = n.curvature.rows();
  const MatrixXd c = n.curvature.ldlt().solve(MatrixXd::Identity(size, size));
  const MatrixXd by_data = c * n.data * c;  // what the data's scatter adds to the covariance
  fit.scatter_factor = s;
  fit.told = told_at(n);
  fit.numbers = static_cast<int>(t.number.size());
  const double degrees = prior_degrees + fit.numbers - fit.told;
  fit.covariance.assign(size, std::vector<double>(size));
  for (Index i = 0; i < size; ++i) {
    for (Index j = 0; j < size; ++j) fit.covariance[i][j] = c(i, j);
    const double share = by_data(i, i) / c(i, i);
    fit.degrees.push_back(known || share <= 0.0 ? endless_degrees : degrees / (share * share));
  }
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

PriorFit fit_with_priors(const FitProblem& problem, const ForecastModel& model,
                         const FitOptions& options) {
  assert(!problem.factors.empty() && !problem.measured.empty());
  Best best;
  for (const PriorFactor& f : problem.factors) best.point.push_back(f.mean);
  auto first = model({best.point}).front();
  if (!first) throw SolveError("the forecast has no answer at the values of the case");
  best.forecast = std::move(*first);
  PriorFit fit;
  fit.forecast_before = best.forecast;
  for (;;) {
    fit.slopes = secants(problem, model, best.point, best.forecast, options.secant);
    const Tangent t = tangent_at(problem, best.point, best.forecast, fit.slopes);
    const double s = scatter_at(t, problem.scatter_known);
    const Normal n = normal_at(t, s);
    const std::vector<double> next = step_from(problem, best.point, n, 0.0);
    fit.last_step = length_of(best.point, next, n);
    fit.converged = fit.last_step < options.close_enough;
    if (fit.converged || fit.rounds >= options.most_rounds ||
        !advance(problem, model, t, s, options.most_tries, best)) {
      finish(fit, t, s, problem.scatter_known);
      break;
    }
    ++fit.rounds;
  }
  fit.estimate = best.point;
  fit.forecast = best.forecast;
  return fit;
}

FactorInterval interval_of(const PriorFit& fit, std::size_t factor, double share) {
  const double reach = student_t_quantile(0.5 * (1.0 + share), fit.degrees[factor]) *
                       std::sqrt(fit.covariance[factor][factor]);
  return {std::exp(fit.estimate[factor] - reach), std::exp(fit.estimate[factor] + reach)};
}

}  // namespace firstshot
