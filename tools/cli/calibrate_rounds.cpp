#include "tools/cli/calibrate_rounds.hpp"

#include <algorithm>
#include <cstdio>

#include <fmt/format.h>

#include "tools/cli/sweep_run.hpp"

namespace firstshot {

namespace fs = std::filesystem;

CalibrationRounds::CalibrationRounds(const CalibrateOptions& options, fs::path folder,
                                     const std::vector<CalibratedFactor>& factors,
                                     const TrialComparison& trials, double intensification)
    : options_(options),
      folder_(std::move(folder)),
      factors_(factors),
      trials_(trials),
      intensification_(intensification),
      packing_(trials.values.size(), 1.0) {}

/// Run point * settings + setting.
SweepPlan CalibrationRounds::plan_of(const Matrix& points) const {
  SweepPlan plan;
  plan.case_file = fs::absolute(options_.common.case_file).lexically_normal();
  plan.accuracy = options_.common.accuracy;
  plan.keys = trials_.keys;
  for (const CalibratedFactor& f : factors_) plan.keys.push_back(f.key);
  for (const std::vector<double>& point : points)
    for (const std::vector<std::string>& setting : trials_.values) {
      plan.values.push_back(setting);
      for (std::size_t j = 0; j < factors_.size(); ++j)
        plan.values.back().push_back(override_of(factors_[j], point[j]).value);
    }
  mark_input(plan);
  return plan;
}

void CalibrationRounds::run(const Matrix& points) {
  const SweepPlan plan = plan_of(points);
  const fs::path path = folder_ / "rounds" / fmt::format("{:02}", ++rounds_);
  const SweepFolder folder = SweepFolder::begin(path, plan, options_.runs.resume);
  if (options_.runs.retry_failed) folder.forget_failures();
  SweepOptions sweep = options_.runs;
  sweep.quiet = sweep.quiet || options_.common.json;
  if (!sweep.quiet) fmt::print(stderr, "round {}: {} runs\n", rounds_, plan.size());
  const SweepRunEnd end = do_runs(folder, sweep);
  if (!end.complete) throw CalibrationStopped{end.sentence};
  runs_ += static_cast<int>(plan.size());
  const Series series = collect(folder);
  for (std::size_t p = 0; p < points.size(); ++p)
    take(series, p * trials_.values.size(), points[p]);
}

/// What the runs of all settings say at a point. @param first of its runs
void CalibrationRounds::take(const Series& series, std::size_t first,
                             const std::vector<double>& point) {
  std::optional<std::vector<double>>& forecast = known_[point];
  forecast.emplace();
  for (std::size_t s = 0; s < trials_.values.size(); ++s) {
    const std::size_t run = first + s;
    if (series.states[run] == RunState::done) {
      packing_[s] = packing_of(series, run).value_or(packing_[s]);
      continue;
    }
    failure_ = fmt::format("{}: {}", trials_.names[s].front(), series.reasons[run]);
    forecast.reset();
    return;
  }
  for (const TrialItem& item : trials_.items)
    forecast->push_back(
        forecast_of(item, series, first + item.setting, intensification_, packing_[item.setting]));
}

Forecasts CalibrationRounds::operator()(const Matrix& points) {
  Matrix open;
  for (const auto& point : points)
    if (!known_.contains(point) && std::find(open.begin(), open.end(), point) == open.end())
      open.push_back(point);
  if (!open.empty()) run(open);
  Forecasts out;
  for (const auto& point : points) out.push_back(known_.at(point));
  return out;
}

}  // namespace firstshot
