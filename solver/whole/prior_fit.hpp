// Unknown positive factors of a model from measured numbers, with what is known beforehand.
//
// The logarithms φ of the factors have a normal prior, mean μ_j and spread τ_j. A measured number
// y_i scatters around its forecast f_i(φ) with s σ_i: σ_i is stated, s is common to all and comes
// from the residuals unless the scatter is known. Sought is the largest posterior density, that is
//
//   the least  Σ (y_i - f_i)²/(s σ_i)² - 2 Σ ln Φ(z_m) + Σ (φ_j - μ_j)²/τ_j²,
//
// by Gauss-Newton steps with secant slopes, damped when a step does not help
// [Marquardt1963]. Marks ("full", "short") see only on which side of a threshold c a forecast lies
// [Tobin1958]: z = (f - c)/σ for "above", (c - f)/σ for "below".
//
// Scatter: s² has the prior of a scaled inverse chi-squared with mean information ν0 around 1, so
// s² = (ν0 + Σ (y-f)²/σ²)/(ν0 + N - γ), γ the number of factors that the data determine
// [MacKay1992]. A factor's interval is that of Student's t with the degrees of freedom that its own
// variance has by [Satterthwaite1946]: ν0 + N - γ where data decide, endless where the prior does.
//
// Not valid where the posterior has several peaks or a long bend: the interval is that of the
// tangent at the peak.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "solver/numeric/student_t.hpp"

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

/// Forecasts of all measured things at each of some points φ (points, factors); none where the
/// model has no answer.
using Forecasts = std::vector<std::optional<std::vector<double>>>;
using ForecastModel = std::function<Forecasts(const Matrix& points)>;

struct FitOptions {
  int most_rounds = 8;
  int most_tries = 6;  ///< of a round, each more damped
  /// Secants reach this share of a factor's prior spread: far enough to stand out of the rounding
  /// of a simulation, near enough to be a slope.
  double secant = 0.25;
  /// The search ends when its next step is shorter than this, in spreads of the posterior.
  double close_enough = 0.05;
};

struct PriorFit {
  std::vector<double> estimate;         ///< φ (factors)
  std::vector<double> degrees;          ///< of freedom of each factor's interval
  Matrix covariance;                    ///< of φ (factors, factors)
  Matrix slopes;                        ///< df/dφ at the estimate (measured, factors)
  std::vector<double> forecast_before;  ///< at the prior means (measured)
  std::vector<double> forecast;         ///< at the estimate (measured)
  double scatter_factor = 1.0;          ///< s
  double told = 0.0;                    ///< γ
  int numbers = 0;                      ///< N
  int rounds = 0;
  double last_step = 0.0;  ///< that was still wanted at the end, in spreads of the posterior
  bool converged = false;
};

/// @throws SolveError the model has no answer at the prior means, or on both sides of the estimate
/// @param measured at least one, factors at least one
PriorFit fit_with_priors(const FitProblem& problem, const ForecastModel& model,
                         const FitOptions& options = {});

/// exp of the middle interval of a factor that holds this share of its posterior.
struct FactorInterval {
  double low = 0.0, high = 0.0;
};
FactorInterval interval_of(const PriorFit& fit, std::size_t factor, double share);

/// What a measured thing adds to the sum above, as a signed residual r with r² = its term at s = 1.
double residual_of(const Measured& measured, double forecast);
/// Its slope over the forecast.
double residual_slope_of(const Measured& measured, double forecast);

/// Prior degrees of freedom of the scatter: the stated scatters count as much as this many numbers.
inline constexpr double prior_degrees = 2.0;

}  // namespace firstshot
