#include "solver/whole/told_apart.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <Eigen/Dense>

namespace firstshot {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

constexpr double well_from = 2.0, not_below = 0.5;  // singular values, see the header
constexpr double noticeable = 0.35;                 // of a direction's largest entry

Told told_by(double singular_value) {
  if (singular_value >= well_from) return Told::well;
  return singular_value < not_below ? Told::not_told : Told::partly;
}

/// Slopes over scatter, times the prior spread. A mark counts with the curvature that it has at the
/// estimate.
MatrixXd scaled_slopes(const FitProblem& problem, const PriorFit& fit) {
  const auto rows = static_cast<Index>(problem.measured.size());
  const auto columns = static_cast<Index>(problem.factors.size());
  // At least as many rows as columns, so that each factor has a singular value.
  MatrixXd a = MatrixXd::Zero(std::max(rows, columns), columns);
  for (std::size_t i = 0; i < problem.measured.size(); ++i) {
    const Measured& m = problem.measured[i];
    const double scatter = m.kind == MeasuredKind::number ? fit.scatter_factor : 1.0;
    const double slope = residual_slope_of(m, fit.forecast[i]) / scatter;
    for (std::size_t j = 0; j < problem.factors.size(); ++j)
      a(static_cast<Index>(i), static_cast<Index>(j)) =
          slope * fit.slopes[i][j] * problem.factors[j].spread;
  }
  return a;
}

std::vector<std::size_t> members_of(const std::vector<double>& direction) {
  std::vector<std::size_t> all(direction.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  std::stable_sort(all.begin(), all.end(), [&](std::size_t a, std::size_t b) {
    return std::abs(direction[a]) > std::abs(direction[b]);
  });
  const double least = noticeable * std::abs(direction[all.front()]);
  std::erase_if(all, [&](std::size_t j) { return std::abs(direction[j]) < least; });
  return all;
}

}  // namespace

ToldApart told_apart(const FitProblem& problem, const PriorFit& fit) {
  const std::size_t n = problem.factors.size();
  const Eigen::JacobiSVD<MatrixXd> svd(scaled_slopes(problem, fit), Eigen::ComputeThinV);
  ToldApart out;
  for (std::size_t k = 0; k < n; ++k) {
    ToldDirection d;
    d.singular_value = svd.singularValues()(static_cast<Index>(k));
    d.left = 1.0 / std::sqrt(1.0 + d.singular_value * d.singular_value);
    d.told = told_by(d.singular_value);
    for (std::size_t j = 0; j < n; ++j)
      d.direction.push_back(svd.matrixV()(static_cast<Index>(j), static_cast<Index>(k)));
    d.members = members_of(d.direction);
    if (d.direction[d.members.front()] < 0.0)
      for (double& entry : d.direction) entry = -entry;
    out.directions.push_back(d);
  }
  out.correlation.assign(n, std::vector<double>(n));
  for (std::size_t i = 0; i < n; ++i) {
    const auto& c = fit.covariance;
    for (std::size_t j = 0; j < n; ++j)
      out.correlation[i][j] = c[i][j] / std::sqrt(c[i][i] * c[j][j]);
    const double left = std::min(1.0, std::sqrt(c[i][i]) / problem.factors[i].spread);
    // The same border as for directions: left = 1/√(1 + σ²).
    out.factors.push_back({left, told_by(std::sqrt(1.0 / (left * left) - 1.0))});
  }
  return out;
}

}  // namespace firstshot
