#include "solver/whole/fit_tangent.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

#include "solver/numeric/student_t.hpp"

namespace firstshot {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Residuals and their slopes at a point; numbers and marks apart, since s is of numbers only.
struct Residuals {
  VectorXd number, mark;              ///< r
  MatrixXd number_slope, mark_slope;  ///< dr/dφ
  VectorXd offset;                    ///< φ - μ
  VectorXd precision;                 ///< 1/τ²
};

Residuals residuals_at(const FitProblem& problem, const std::vector<double>& point,
                       const std::vector<double>& forecast, const Matrix& slopes) {
  const auto n_factors = static_cast<Index>(problem.factors.size());
  const auto n_numbers = static_cast<Index>(
      std::count_if(problem.measured.begin(), problem.measured.end(),
                    [](const Measured& m) { return m.kind == MeasuredKind::number; }));
  const Index n_marks = static_cast<Index>(problem.measured.size()) - n_numbers;
  Residuals t{VectorXd(n_numbers),          VectorXd(n_marks),   MatrixXd(n_numbers, n_factors),
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
  MatrixXd data;        ///< what the numbers add to the curvature
  MatrixXd curvature;   ///< half of the second derivatives of the sum
  VectorXd gradient;    ///< half of the first ones
  MatrixXd covariance;  ///< inverse of the curvature
  double told = 0.0;
};

Normal normal_at(const Residuals& t, double s) {
  Normal n;
  n.data = t.number_slope.transpose() * t.number_slope / (s * s);
  n.curvature = n.data + t.mark_slope.transpose() * t.mark_slope;
  n.curvature.diagonal() += t.precision;
  n.gradient = t.number_slope.transpose() * t.number / (s * s) + t.mark_slope.transpose() * t.mark +
               t.precision.cwiseProduct(t.offset);
  n.covariance =
      n.curvature.llt().solve(MatrixXd::Identity(n.curvature.rows(), n.curvature.cols()));
  n.told = (n.covariance * n.data).trace();
  return n;
}

/// s at the minimum of the form, where s and the minimum agree.
double scatter_at(const Residuals& t, bool known) {
  if (known || t.number.size() == 0) return 1.0;
  constexpr int most = 50;
  constexpr double close = 1e-6;
  double s = 1.0;
  for (int k = 0; k < most; ++k) {
    const Normal n = normal_at(t, s);
    const VectorXd left = t.number - t.number_slope * (n.covariance * n.gradient);
    const double degrees = prior_degrees + static_cast<double>(t.number.size()) - n.told;
    const double next = std::sqrt((prior_degrees + left.squaredNorm()) / degrees);
    const bool settled = std::abs(next - s) < close * s;
    s = next;
    if (settled) break;
  }
  return s;
}

Matrix rows_of(const MatrixXd& m) {
  Matrix rows(static_cast<std::size_t>(m.rows()));
  for (Index i = 0; i < m.rows(); ++i)
    for (Index j = 0; j < m.cols(); ++j) rows[static_cast<std::size_t>(i)].push_back(m(i, j));
  return rows;
}

MatrixXd matrix_of(const Matrix& rows) {
  const auto n = static_cast<Index>(rows.size());
  MatrixXd m(n, n);
  for (Index i = 0; i < n; ++i)
    for (Index j = 0; j < n; ++j)
      m(i, j) = rows[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
  return m;
}

VectorXd vector_of(const std::vector<double>& v) {
  return Eigen::Map<const VectorXd>(v.data(), static_cast<Index>(v.size()));
}

}  // namespace

double FitTangent::spread_of(std::size_t factor) const {
  return std::sqrt(covariance[factor][factor]);
}

FitTangent tangent_at(const FitProblem& problem, const std::vector<double>& point,
                      const std::vector<double>& forecast, const Matrix& slopes) {
  const Residuals t = residuals_at(problem, point, forecast, slopes);
  FitTangent out;
  out.scatter_factor = scatter_at(t, problem.scatter_known);
  const Normal n = normal_at(t, out.scatter_factor);
  out.curvature = rows_of(n.curvature);
  out.covariance = rows_of(n.covariance);
  out.gradient.assign(n.gradient.begin(), n.gradient.end());
  out.told = n.told;
  out.numbers = static_cast<int>(t.number.size());
  // What the scatter of the data adds to the covariance.
  const MatrixXd by_data = n.covariance * n.data * n.covariance;
  const double degrees = prior_degrees + out.numbers - out.told;
  for (Index j = 0; j < by_data.rows(); ++j) {
    const double share = by_data(j, j) / n.covariance(j, j);
    const bool endless = problem.scatter_known || share <= 0.0;
    out.degrees.push_back(endless ? endless_degrees : degrees / (share * share));
  }
  return out;
}

std::vector<double> step_from(const FitProblem& problem, const std::vector<double>& point,
                              const FitTangent& tangent, double damping) {
  MatrixXd curvature = matrix_of(tangent.curvature);
  curvature.diagonal() *= 1.0 + damping;
  const VectorXd step = curvature.llt().solve(vector_of(tangent.gradient));
  std::vector<double> next = point;
  for (std::size_t j = 0; j < next.size(); ++j)
    next[j] = std::clamp(next[j] - step(static_cast<Index>(j)), problem.factors[j].low,
                         problem.factors[j].high);
  return next;
}

double length_of(const std::vector<double>& from, const std::vector<double>& to,
                 const FitTangent& tangent) {
  const VectorXd step = vector_of(to) - vector_of(from);
  return std::sqrt(step.dot(matrix_of(tangent.curvature) * step));
}

}  // namespace firstshot
