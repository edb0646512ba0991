// The sum of a fit with priors as a quadratic form around one point: what a step costs, how far it
// should go, and what the data leave open. Equations and symbols: solver/whole/prior_fit.hpp.
#pragma once

#include <vector>

#include "solver/whole/fit_problem.hpp"

namespace firstshot {

/// Prior degrees of freedom of the scatter: the stated scatters count as much as this many numbers.
inline constexpr double prior_degrees = 2.0;

struct FitTangent {
  double scatter_factor = 1.0;   ///< s, where s and the minimum of the form agree
  Matrix curvature;              ///< half of the second derivatives (factors, factors)
  std::vector<double> gradient;  ///< half of the first ones (factors)
  Matrix covariance;             ///< inverse of the curvature
  std::vector<double> degrees;   ///< of freedom of each factor's interval
  double told = 0.0;             ///< γ
  int numbers = 0;               ///< N
  double spread_of(std::size_t factor) const;
};

/// @param slopes df/dφ (measured, factors)
FitTangent tangent_at(const FitProblem& problem, const std::vector<double>& point,
                      const std::vector<double>& forecast, const Matrix& slopes);

/// Where a step goes, within the bounds of the factors. @param damping ≥ 0, 0: to the minimum of
/// the form [Marquardt1963]
std::vector<double> step_from(const FitProblem& problem, const std::vector<double>& point,
                              const FitTangent& tangent, double damping);

/// Of a step, in spreads of the posterior.
double length_of(const std::vector<double>& from, const std::vector<double>& to,
                 const FitTangent& tangent);

}  // namespace firstshot
