#include <chrono>
#include <cstdio>
#include <iostream>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/report_html.hpp"
#include "io/resolved_case.hpp"
#include "io/result_reader.hpp"
#include "io/results_folder.hpp"
#include "io/summary.hpp"
#include "io/surface_vtp.hpp"
#include "mesh/error.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/whole/run_case.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/run_report.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {
namespace {

using Clock = std::chrono::steady_clock;

RunFigures run_figures(Clock::time_point begin) {
  const double wall = std::chrono::duration<double>(Clock::now() - begin).count();
  return {version_text, thread_count(), wall, peak_memory_MB()};
}

/// Steps until the end or until somebody asks to stop; the folder and the person see each step.
Result run_watched(const Setup& setup, ResultsFolder& folder, bool quiet) {
  Progress progress(std::cerr, progress_style(quiet));
  const Result result = run_case(
      setup,
      [&](const Snapshot& snapshot) {
        progress.show(snapshot);
        folder.on_snapshot(snapshot);
        return StopRequest::signal() == 0;
      },
      folder.restart());
  progress.finish();
  return result;
}

void print_result(const CaseOptions& options, const Setup& setup, const Result& result,
                  const std::string& summary, const std::filesystem::path& folder) {
  fmt::print("{}", options.json ? summary : run_text(setup, result, folder));
  if (result.outcome == Outcome::interrupted)
    fmt::print(stderr, "firstshot: stopped at step {}; go on with: {}\n", result.state.step,
               resume_command(options, folder));
}

/// A run whose page cannot be drawn is still a run.
void write_report(const std::filesystem::path& folder) {
  try {
    write_atomically(folder / "report.html", report_html(std::vector{folder}, version_text));
  } catch (const Error& error) {
    fmt::print(stderr, "note: report.html was not written: {}\n", error.what());
  }
}

int exit_code(const CaseOptions& options, const Result& result) {
  return options.strict && !result.verdict.approved ? exit_not_approved : exit_done;
}

/// The result of a run that has ended, printed; nothing when the folder holds none.
std::optional<int> print_finished(const CaseOptions& options, const Setup& setup,
                                  const ResultsFolder& folder) {
  if (!folder.already_finished()) return std::nullopt;
  const ResultReader reader(folder.path() / "result.h5");
  Result result = reader.result().value();
  assess(setup, result);
  fmt::print(stderr, "firstshot: this run has already ended, nothing is left to do\n");
  print_result(options, setup, result, reader.summary(), folder.path());
  return exit_code(options, result);
}

}  // namespace

int run_command(const CaseOptions& options) {
  const auto begin = Clock::now();
  const StopRequest listening;
  const BuiltSetup built = build_case(options);
  ResultsOptions folder_options;
  folder_options.resume = options.resume;
  ResultsFolder folder(results_folder_of(options), case_record(built), built.setup, folder_options);
  write_resolved_case(built, folder.path());
  for (const std::string& note : built.notes) fmt::print(stderr, "note: {}\n", note);
  if (options.resume)
    if (const auto code = print_finished(options, built.setup, folder)) return *code;
  if (options.resume && folder.restart() == nullptr)
    fmt::print(stderr, "note: there is nothing to go on with in {}, so the run begins anew\n",
               folder.path().string());

  const Result result = run_watched(built.setup, folder, options.quiet);
  const RunFigures figures = run_figures(begin);
  folder.finish(result, figures);
  if (built.solid)
    write_atomically(folder.path() / "surface.vtp",
                     surface_vtp(built, node_fields(built.setup, result.state)));
  write_report(folder.path());
  print_result(options, built.setup, result, summary_json(built.setup, result, figures),
               folder.path());
  if (result.outcome == Outcome::interrupted) return exit_code_of_signal(StopRequest::signal());
  return exit_code(options, result);
}

}  // namespace firstshot
