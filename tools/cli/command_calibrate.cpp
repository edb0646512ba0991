#include "tools/cli/command_calibrate.hpp"

#include <chrono>
#include <cmath>
#include <iostream>
#include <optional>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/calibrated_card.hpp"
#include "io/calibrated_report.hpp"
#include "io/resolved_case.hpp"
#include "io/results_folder.hpp"
#include "io/sweep_folder.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/stage/fill.hpp"
#include "tools/cli/calibrate_report.hpp"
#include "tools/cli/calibrate_rounds.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

std::string today() {
  const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  std::tm parts{};
  gmtime_r(&now, &parts);
  constexpr int first_year = 1900;
  return fmt::format("{:04}-{:02}-{:02}", parts.tm_year + first_year, parts.tm_mon + 1,
                     parts.tm_mday);
}

fs::path folder_of(const CalibrateOptions& options) {
  if (!options.common.output.empty()) return options.common.output;
  fs::path folder = results_folder_of(options.common);
  return folder.replace_extension(".calibration");
}

/// What a setting asks for that the case cannot have becomes an error at its row.
void check_settings(const CalibrateOptions& options, const Trials& trials,
                    const TrialComparison& compared) {
  for (std::size_t s = 0; s < compared.values.size(); ++s) {
    std::vector<CaseOverride> changes;
    for (std::size_t k = 0; k < compared.keys.size(); ++k)
      changes.push_back({compared.keys[k], compared.values[s][k]});
    try {
      Case c = read_case(options.common.case_file, changes);
      if (!options.common.accuracy.empty()) set_accuracy_level(c, options.common.accuracy);
      build_setup(c, program_card_folders());
    } catch (const Error& e) {
      const CsvRow& row = trials.shots[compared.first_shot[s]].row;
      throw trials.table.error(row, row.cells.front(),
                               fmt::format("these settings cannot be run: {}", e.what()));
    }
  }
}

void check_columns(const Trials& trials, const TrialComparison& compared,
                   const std::vector<CalibratedFactor>& factors) {
  for (const CalibratedFactor& f : factors)
    if (std::find(compared.keys.begin(), compared.keys.end(), f.key) != compared.keys.end())
      throw trials.table.error(
          trials.table.head, trials.table.head.cells.front(),
          fmt::format("{} is a column, but is to be calibrated; leave the column out, or name the "
                      "other factors with --factor",
                      f.key));
}

std::optional<std::size_t> viscosity_among(const Calibration& c) {
  for (std::size_t j = 0; j < c.factors.size(); ++j)
    if (c.factors[j].name == "viscosity_factor") return j;
  return std::nullopt;
}

/// The case with the calibrated values; the viscosity is in the new card. @param card empty: none
Case calibrated_case(const CalibrateOptions& options, const Calibration& c, const fs::path& card) {
  std::vector<CaseOverride> changes;
  for (std::size_t j = 0; j < c.factors.size(); ++j)
    if (j != viscosity_among(c)) changes.push_back(override_of(c.factors[j], c.fit.estimate[j]));
  if (!card.empty()) {
    changes.push_back({"material.card", fs::absolute(card).string()});
    changes.push_back({"material.viscosity_factor", "1"});
  }
  Case calibrated = read_case(options.common.case_file, changes);
  if (!options.common.accuracy.empty()) set_accuracy_level(calibrated, options.common.accuracy);
  return calibrated;
}

/// @return its path; empty when the viscosity was not calibrated
fs::path write_card(const Calibration& c, const BuiltSetup& base, const fs::path& folder) {
  const auto j = viscosity_among(c);
  if (!j) return {};
  const FactorInterval interval = c.interval(*j);
  const double m =
      viscosity_share(base.setup.material.viscosity, base.setup.process.melt_temperature);
  const double left = std::expm1(m * std::sqrt(c.fit.covariance[*j][*j]));
  const CardCalibration card{
      c.card,        c.estimate(*j), interval.low,
      interval.high, c.confidence,   std::min(base.setup.material.viscosity_band, left),
      c.shots,       c.date,         c.title};
  // The card as it was read: the setup's law has the factor of the case and of its blend in it.
  const Material material = read_cards(base.resolved, program_card_folders()).material;
  fs::path file = folder / (c.card + ".toml");
  write_atomically(file, calibrated_card(material, card));
  return file;
}

/// One whole run with what was found, for the page.
void run_calibrated(const CalibrateOptions& options, const BuiltSetup& built,
                    const fs::path& folder) {
  const auto begin = Clock::now();
  ResultsFolder results(folder, case_record(built), built.setup);
  write_resolved_case(built, results.path());
  Progress progress(std::cerr, progress_style(options.runs.quiet || options.common.json));
  const Result result = run_case(built.setup, [&](const Snapshot& s) {
    progress.show(s);
    results.on_snapshot(s);
    return StopRequest::signal() == 0;
  });
  progress.finish();
  const double wall = std::chrono::duration<double>(Clock::now() - begin).count();
  results.finish(result, {version_text, thread_count(), wall, peak_memory_MB()});
  if (result.outcome == Outcome::interrupted)
    throw CalibrationStopped{"stopped in the last run; go on with the same command and --resume"};
}

Calibration calibrate(const CalibrateOptions& options, const BuiltSetup& base,
                      const fs::path& folder) {
  const Trials trials = read_trials(options.trials);
  Calibration c;
  c.trials = compare_trials(trials, base.setup);
  FactorChoice choice = choose_factors(base, options.factors);
  if (choice.factors.empty()) throw Error("nothing is left to calibrate in this case");
  c.factors = std::move(choice.factors);
  c.left_out = std::move(choice.left_out);
  check_columns(trials, c.trials, c.factors);
  check_settings(options, trials, c.trials);
  c.title = base.setup.title;
  c.date = today();
  c.accuracy = base.resolved.accuracy.level;
  c.base_card = base.setup.material.name;
  c.card = options.card_name.empty() ? c.base_card + "-trial" : options.card_name;
  if (!viscosity_among(c)) c.card = c.base_card;
  c.confidence = options.confidence;
  c.shots = static_cast<int>(trials.shots.size());
  c.scatter_given = trials.scatter_given;
  c.offsets = common_offsets(c.trials, c.accuracy);
  const FitProblem problem = fit_problem(c.factors, c.offsets, c.trials, trials.scatter_given);
  CalibrationRounds rounds(options, folder, c.factors, c.trials, base.setup.press.intensification);
  try {
    // Whole runs have kinks and some noise of their own.
    FitOptions search;
    search.secant = 0.5;
    search.close_enough = 0.25;
    c.fit = fit_with_priors(problem, with_offsets(std::ref(rounds), c.offsets, c.trials), search);
  } catch (const SolveError& e) {
    throw SolveError(fmt::format("{} ({}); the runs are in {}", e.what(), rounds.failure(),
                                 (folder / "rounds").string()));
  }
  c.told = told_apart(problem, c.fit);
  c.runs = rounds.runs();
  return c;
}

}  // namespace

int calibrate_command(const CalibrateOptions& options) {
  const StopRequest listening;
  if (options.card_name.find('/') != std::string::npos || options.card_name.starts_with('.'))
    throw Error(fmt::format("\"{}\" is no name of a card; allowed: a file name without folders",
                            options.card_name));
  const BuiltSetup base = build_case(options.common);
  const fs::path folder = folder_of(options);
  try {
    const Calibration c = calibrate(options, base, folder);
    const fs::path card = write_card(c, base, folder);
    const BuiltSetup after = build_setup(calibrated_case(options, c, card), program_card_folders());
    write_resolved_case(after, folder);
    run_calibrated(options, after, folder / "after");
    write_atomically(folder / "forecast.csv", calibration_csv(c));
    write_atomically(folder / "calibrate.json", calibration_json(c));
    write_atomically(folder / "report.html",
                     calibrated_report(folder / "after", version_text, calibration_json(c)));
    fmt::print("{}", options.common.json ? calibration_json(c) : calibration_text(c));
    if (!options.common.json)
      fmt::print("{} runs; {}case and report in {}\n", c.runs + 1,
                 card.empty() ? "" : fmt::format("card {}, ", card.string()), folder.string());
  } catch (const CalibrationStopped& stopped) {
    fmt::print(stderr, "firstshot: {}\n", stopped.sentence);
    return StopRequest::signal() != 0 ? exit_code_of_signal(StopRequest::signal())
                                      : exit_no_solution;
  }
  return exit_done;
}

}  // namespace firstshot
