#include "tools/cli/window_rounds.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <fmt/format.h>

#include "solver/numeric/latin_hypercube.hpp"
#include "tools/cli/sweep_run.hpp"

namespace firstshot {
namespace {

/// Class and loads of a run that has ended, in its folder.
WindowRun judged_run(const SweepFolder& folder, const Series& series, std::size_t run) {
  WindowRun out;
  out.folder = fmt::format("rounds/{}/runs/{:05}", folder.path().filename().string(), run + 1);
  out.reason = series.reasons[run];
  if (series.states[run] != RunState::done) return out;  // no_result
  try {
    out.judged = judged_shot(folder.summary(run));
  } catch (const Error& wrong) {
    out.reason = wrong.what();
  }
  return out;
}

struct Mean {
  double sum = 0.0;
  std::size_t n = 0;
  void add(double value) {
    sum += value;
    ++n;
  }
  double value() const { return sum / static_cast<double>(n); }
};

/// Which of the varied keys lie elsewhere in bad shots than in good ones: means, of the place 0 … 1
/// within the spread, more than a standard deviation and more than two standard errors apart.
std::vector<std::string> differences(const std::vector<VariedKey>& varied,
                                     const std::vector<std::vector<double>>& cube,
                                     const std::vector<bool>& good) {
  const double deviation = std::sqrt(1.0 / 12.0);  // of an even spread over 0 … 1
  std::vector<std::string> out;
  for (std::size_t k = 0; k < varied.size(); ++k) {
    Mean in_good, in_bad;
    for (std::size_t i = 0; i < cube.size(); ++i) (good[i] ? in_good : in_bad).add(cube[i][k]);
    if (in_good.n == 0 || in_bad.n == 0) continue;
    const double apart = in_bad.value() - in_good.value();
    const double error = deviation * std::sqrt(1.0 / static_cast<double>(in_good.n) +
                                               1.0 / static_cast<double>(in_bad.n));
    if (std::abs(apart) > std::max(deviation, 2.0 * error))
      out.push_back(
          fmt::format("{} {}", apart > 0.0 ? "higher" : "lower", axis_words(varied[k].range.key)));
  }
  return out;
}

}  // namespace

SweepFolder WindowRuns::do_round(const std::string& name, const std::string& what,
                                 const std::vector<std::string>& keys,
                                 const std::vector<std::vector<std::string>>& rows) {
  SweepPlan plan = base_;
  plan.keys = keys;
  plan.values = rows;
  for (std::size_t k = 0; k < base_.keys.size(); ++k) {
    if (std::count(keys.begin(), keys.end(), base_.keys[k]) > 0) continue;  // it varies here
    plan.keys.push_back(base_.keys[k]);
    for (auto& row : plan.values) row.push_back(base_.values.front()[k]);
  }
  SweepFolder folder = SweepFolder::begin(folder_ / "rounds" / name, plan, options_.resume);
  if (options_.retry_failed) folder.forget_failures();
  if (!options_.quiet)
    fmt::print(stderr, "{}: {} run{}\n", what, rows.size(), rows.size() == 1 ? "" : "s");
  const SweepRunEnd end = do_runs(folder, options_);
  if (!end.complete) throw RunsStopped{end.sentence};
  return folder;
}

std::vector<WindowShot> WindowRuns::shoot(const std::string& what,
                                          std::span<const SettingText> settings) {
  std::vector<SettingText> fresh;
  for (const SettingText& setting : settings) {
    const bool is_new = places_.try_emplace(setting, runs_.size() + fresh.size()).second;
    if (is_new) fresh.push_back(setting);
  }
  if (!fresh.empty()) {
    std::vector<std::vector<std::string>> rows;
    rows.reserve(fresh.size());
    for (const SettingText& setting : fresh) rows.push_back({setting[0], setting[1]});
    const SweepFolder folder =
        do_round(fmt::format("{:02}", ++rounds_), what, {axes_[0].key(), axes_[1].key()}, rows);
    const Series round = collect(folder);
    for (std::size_t i = 0; i < fresh.size(); ++i) {
      WindowRun run = judged_run(folder, round, i);
      run.values = fresh[i];
      run.judged.shot.at = {axes_[0].share(fresh[i][0]), axes_[1].share(fresh[i][1])};
      runs_.push_back(std::move(run));
    }
    append(series_, round);
  }
  std::vector<WindowShot> shots;
  shots.reserve(settings.size());
  for (const SettingText& setting : settings) shots.push_back(run_at(setting).judged.shot);
  return shots;
}

std::vector<WindowShot> WindowRuns::shoot(const std::string& what, std::span<const Point> places) {
  std::vector<SettingText> settings;
  settings.reserve(places.size());
  for (const Point& at : places) settings.push_back({axes_[0].value(at.x), axes_[1].value(at.y)});
  return shoot(what, settings);
}

WindowShots WindowRuns::vary(const SettingText& setting, const std::vector<VariedKey>& varied,
                             std::size_t shots, std::uint64_t seed) {
  WindowShots out;
  out.varied = varied;
  out.shots = shots;
  out.seed = seed;
  std::vector<std::string> keys = {axes_[0].key(), axes_[1].key()};
  for (const VariedKey& key : varied) keys.push_back(key.range.key);
  const auto cube = latin_hypercube(shots, varied.size(), seed);
  std::vector<std::vector<std::string>> rows;
  rows.reserve(shots);
  for (const auto& point : cube) {
    rows.push_back({setting[0], setting[1]});
    for (std::size_t k = 0; k < varied.size(); ++k)
      rows.back().push_back(varied[k].value(point[k]));
  }
  const SweepFolder folder = do_round("shots", "shots with what varies", keys, rows);
  shot_series_ = collect(folder);
  write_series(shot_series_, folder.path());
  std::vector<bool> good;
  good.reserve(shots);
  for (std::size_t i = 0; i < shots; ++i) {
    const WindowRun run = judged_run(folder, shot_series_, i);
    ++out.counts[static_cast<std::size_t>(run.judged.shot.kind)];
    good.push_back(run.judged.shot.good());
  }
  out.interval = share_interval(out.good(), shots, shots_confidence);
  out.differ = differences(varied, cube, good);
  return out;
}

const WindowRun& WindowRuns::run_at(const SettingText& setting) const {
  return runs_[places_.at(setting)];
}

}  // namespace firstshot
