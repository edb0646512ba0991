// What is asked of a fit with priors: unknown factors with what is known beforehand, and measured
// things with their scatter. The equations are in solver/whole/prior_fit.hpp.
#pragma once

#include <vector>

namespace firstshot {

using Matrix = std::vector<std::vector<double>>;  ///< rows of equal length

struct PriorFactor {
  double mean = 0.0;    ///< of the logarithm
  double spread = 1.0;  ///< of the logarithm, > 0
  double low = -1e3;    ///< bounds of the logarithm, low < mean < high
  double high = 1e3;
};

enum class MeasuredKind { number, above, below };
struct Measured {
  MeasuredKind kind = MeasuredKind::number;
  double value = 0.0;    ///< number: y; marks: the threshold c
  double scatter = 1.0;  ///< σ > 0
};

struct FitProblem {
  std::vector<PriorFactor> factors;
  std::vector<Measured> measured;
  bool scatter_known = false;  ///< s = 1
};

/// What a measured thing adds to the sum, as a signed residual r with r² = its term at s = 1.
double residual_of(const Measured& measured, double forecast);
/// Its slope over the forecast.
double residual_slope_of(const Measured& measured, double forecast);

/// The sum that is made least. @param s scatter factor of the numbers
double sum_at(const FitProblem& problem, const std::vector<double>& point,
              const std::vector<double>& forecast, double s);

}  // namespace firstshot
