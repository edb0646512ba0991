// The whole runs that a calibration needs: each time the search asks for forecasts, all of them are
// one sweep in a folder of its own, rounds/01, rounds/02, … The search is the same each time, so a
// calibration that was stopped goes on by asking again: what is done is not done twice.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "io/calibration.hpp"
#include "io/series.hpp"
#include "tools/cli/command_calibrate.hpp"

namespace firstshot {

/// Somebody asked to stop, or the disk is full; what is done is kept.
struct CalibrationStopped {
  std::string sentence;
};

class CalibrationRounds {
 public:
  CalibrationRounds(const CalibrateOptions& options, std::filesystem::path folder,
                    const std::vector<CalibratedFactor>& factors, const TrialComparison& trials,
                    double intensification);
  /// Forecasts of all items at each point, by runs of all settings; points that were asked for
  /// before are remembered. @throws CalibrationStopped
  Forecasts operator()(const Matrix& points);
  int runs() const { return runs_; }
  /// Why the last run that failed did.
  const std::string& failure() const { return failure_; }

 private:
  SweepPlan plan_of(const Matrix& points) const;
  void run(const Matrix& points);
  void take(const Series& series, std::size_t first, const std::vector<double>& point);
  const CalibrateOptions& options_;
  std::filesystem::path folder_;
  const std::vector<CalibratedFactor>& factors_;
  const TrialComparison& trials_;
  double intensification_;
  int rounds_ = 0, runs_ = 0;
  std::map<std::vector<double>, std::optional<std::vector<double>>> known_;
  std::vector<double> packing_;  ///< (settings): of the last full shot that was held
  std::string failure_;
};

}  // namespace firstshot
