#include <chrono>
#include <cstdio>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>

#include "io/series.hpp"
#include "io/slurm.hpp"
#include "io/sweep_local.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/sweep_element.hpp"
#include "tools/cli/sweep_run.hpp"
#include "tools/cli/window_report.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

SweepRequest request_of(const SweepOptions& options) {
  SweepRequest request;
  if (is_sweep_file(options.input))
    request = read_sweep_file(options.input);
  else
    request.case_file = options.input;
  for (const std::string& text : options.axes) request.axes.push_back(axis_from(text));
  if (options.side_by_side) request.combine = SweepCombination::list;
  if (options.sample > 0) request.sample = options.sample;
  if (options.seed >= 0) request.seed = static_cast<std::uint64_t>(options.seed);
  if (!options.accuracy.empty()) request.accuracy = options.accuracy;
  return request;
}

fs::path folder_of(const SweepOptions& options) {
  if (!options.output.empty()) return options.output;
  fs::path folder = fs::absolute(options.input).lexically_normal();
  folder.replace_extension();
  return folder += ".sweep";
}

/// @param not_written why the series could not be written, empty when it was
int print_series(const Series& series, const SweepFolder& folder, const std::string& not_written) {
  std::size_t done = 0, failed = 0;
  for (const RunState state : series.states) {
    done += state == RunState::done ? 1 : 0;
    failed += state == RunState::failed ? 1 : 0;
  }
  fmt::print("{} of {} runs have a result{}\n", done, series.size(),
             failed > 0 ? fmt::format(", {} failed:", failed) : "");
  fmt::print("{}", reasons_text(series));
  if (!not_written.empty()) {
    fmt::print(stderr, "firstshot: {}; with room on the disk, --resume writes it\n", not_written);
    return exit_no_solution;
  }
  fmt::print("{}\n{}\n", (folder.path() / "series.h5").string(),
             (folder.path() / "series.csv").string());
  return done == series.size() ? exit_done : exit_no_solution;
}

SweepFolder folder_for(const SweepOptions& options) {
  const SweepRequest request = request_of(options);
  SweepPlan plan = make_plan(request);
  plan.keep_all = options.keep_all;
  mark_input(plan);
  return SweepFolder::begin(folder_of(options), plan, options.resume);
}

}  // namespace

int sweep_command(const SweepOptions& options) {
  if (options.element > 0) {
    if (options.output.empty()) throw Error("--element needs the folder of the sweep with -o");
    return sweep_element(options.output, static_cast<std::size_t>(options.element));
  }
  if (options.input.empty())
    throw Error("no case or sweep file is given; see firstshot sweep --help");
  if (options.on == "slurm") need_slurm();  // before a folder is made
  const StopRequest listening;
  const SweepFolder folder = folder_for(options);
  const FolderLock lock(folder.path());
  if (options.retry_failed) folder.forget_failures();
  const SweepRunEnd end = do_runs(folder, options);
  if (!end.sentence.empty()) fmt::print(stderr, "firstshot: {}\n", end.sentence);
  const Series series = collect(folder);
  std::string not_written;
  try {
    write_series(series, folder.path());
  } catch (const Error& error) {  // a full disk; what the runs left is there all the same
    not_written = error.what();
  }
  const int code = print_series(series, folder, not_written);
  if (StopRequest::signal() != 0) return exit_code_of_signal(StopRequest::signal());
  return end.complete ? code : exit_no_solution;
}

}  // namespace firstshot
