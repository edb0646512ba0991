// What trial shots say about a case, and how it is told: in sentences, as calibrate.json, as CSV.
#pragma once

#include <string>
#include <vector>

#include "io/calibrated_factors.hpp"
#include "io/trial_comparison.hpp"
#include "solver/whole/told_apart.hpp"

namespace firstshot {

/// By what all forecasts of one kind may be off together, as the logarithm of a ratio: the error of
/// the level of accuracy and of the law of viscosity. Residuals cannot show it, so it goes into the
/// fit as one more unknown with this spread, and into the intervals of all others.
///
/// Pressures: `preview` is 7 % above `fine`, `default` 3 % (harbour tug, see README); another law
/// fitted to the same data adds some per cent (own judgement). Weights: 1 %, own judgement.
struct CommonOffset {
  std::string name, words;
  bool of_weight = false;  ///< else of pressures
  double spread = 0.0;
};
/// For the kinds of numbers that there are.
std::vector<CommonOffset> common_offsets(const TrialComparison& trials,
                                         const std::string& accuracy);

/// A model of the factors as one of factors and offsets, these at the end of a point.
ForecastModel with_offsets(ForecastModel model, const std::vector<CommonOffset>& offsets,
                           const TrialComparison& trials);

struct Calibration {
  std::string title;            ///< of the case
  std::string date;             ///< "2026-11-28"
  std::string accuracy;         ///< level of the runs
  std::string base_card, card;  ///< names; equal when none is new
  double confidence = 0.9;      ///< share of the posterior in an interval
  int shots = 0;                ///< in the table
  int runs = 0;                 ///< whole runs that it took
  bool scatter_given = false;   ///< by the table
  std::vector<CalibratedFactor> factors;
  std::vector<CommonOffset> offsets;  ///< after the factors in fit and told
  std::vector<std::string> left_out;  ///< sentences
  TrialComparison trials;
  PriorFit fit;
  ToldApart told;

  double estimate(std::size_t factor) const;  ///< [SI]
  FactorInterval interval(std::size_t factor) const;
  /// What runs with the calibrated factors say, so without the offset, in the scale of Measured.
  double run_forecast(std::size_t item) const;
};

/// The problem that a comparison poses.
FitProblem fit_problem(const std::vector<CalibratedFactor>& factors,
                       const std::vector<CommonOffset>& offsets, const TrialComparison& trials,
                       bool scatter_given);

/// "well told", "partly told", "not told".
const char* told_words(Told told);

/// In plain words: what cannot be told apart and why, what does not fit, what ran into a bound.
std::vector<std::string> calibration_sentences(const Calibration& c);

/// How a forecast stands to a mark or number, in scatters of the fit; 0 for a mark that it meets.
double misfit_of(const Calibration& c, std::size_t item);

std::string calibration_json(const Calibration& c);
/// A row per number and mark: setting, shots, what, unit, trial, forecast before and after.
std::string calibration_csv(const Calibration& c);

}  // namespace firstshot
