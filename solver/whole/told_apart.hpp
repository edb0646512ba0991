// What data tell of unknown factors, and which combinations of them they leave open.
//
// With A the slopes of the forecasts, each over its scatter and times the prior spread of its
// factor, the singular value σ_k of A belongs to a direction v_k in the space of the factors,
// measured in prior spreads. Along it the data make the posterior spread 1/√(1 + σ_k²) of the prior
// one: σ = 2 leaves less than a half, σ = 0.5 nine tenths. Directions with a small σ are what the
// data cannot tell: a change along them moves no forecast by more than its scatter.
#pragma once

#include <vector>

#include "solver/whole/prior_fit.hpp"

namespace firstshot {

enum class Told { well, partly, not_told };

struct ToldDirection {
  double singular_value = 0.0;       ///< σ
  double left = 1.0;                 ///< posterior spread over prior spread [-]
  Told told = Told::not_told;        ///< well from σ = 2, not told below 0.5
  std::vector<double> direction;     ///< v (factors), length 1, its largest entry positive
  std::vector<std::size_t> members;  ///< factors with a noticeable share, the largest first
};

struct ToldFactor {
  double left = 1.0;  ///< posterior spread over prior spread [-]
  Told told = Told::not_told;
};

struct ToldApart {
  std::vector<ToldDirection> directions;  ///< best told first, as many as factors
  std::vector<ToldFactor> factors;
  Matrix correlation;  ///< of the posterior (factors, factors)
};

ToldApart told_apart(const FitProblem& problem, const PriorFit& fit);

}  // namespace firstshot
