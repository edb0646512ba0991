#include "tools/cli/sweep_run.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <thread>

#include <fmt/format.h>
#include <unistd.h>

#include "io/slurm.hpp"
#include "io/sweep_local.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/sweep_element.hpp"

namespace firstshot {
namespace {

using Clock = std::chrono::steady_clock;

/// "37 of 100 runs, 2 failed, about 40 s left": redrawn on a terminal, else every 10 %.
class SweepProgress {
 public:
  SweepProgress(std::size_t open, bool quiet) : open_(open), style_(progress_style(quiet)) {}
  ~SweepProgress() {
    if (line_open_) fmt::print(stderr, "\n");
  }
  SweepProgress(const SweepProgress&) = delete;
  SweepProgress& operator=(const SweepProgress&) = delete;

  void show(std::size_t ended) {
    if (style_ == ProgressStyle::quiet || open_ == 0) return;
    const std::size_t tenth = 10 * ended / open_;
    const auto now = Clock::now();
    constexpr std::chrono::milliseconds redraw{200};
    const bool is_bar = style_ == ProgressStyle::bar;
    if (is_bar ? (ended < open_ && now - drawn_ < redraw) : tenth == tenth_) return;
    drawn_ = now;
    tenth_ = tenth;
    const double seconds = std::chrono::duration<double>(now - begin_).count();
    const double left =
        ended > 0 ? seconds * static_cast<double>(open_ - ended) / static_cast<double>(ended) : 0.0;
    fmt::print(stderr, "{}{} of {} runs{}{}", is_bar ? "\r" : "", ended, open_,
               ended > 0 && ended < open_ ? fmt::format(", about {:.0f} s left", left) : "",
               is_bar ? "      " : "\n");
    line_open_ = is_bar;
  }

 private:
  std::size_t open_;
  ProgressStyle style_;
  Clock::time_point begin_ = Clock::now(), drawn_ = begin_ - std::chrono::seconds(1);
  std::size_t tenth_ = 0;
  bool line_open_ = false;
};

bool nobody_asked_to_stop() { return StopRequest::signal() == 0; }

SweepRunEnd run_here(const SweepFolder& folder, const SweepOptions& options) {
  const std::vector<std::size_t> open = folder.runs_in(RunState::open);
  SweepProgress progress(open.size(), options.quiet);
  LocalRuns local;
  local.program = own_program();
  local.at_once =
      options.jobs > 0 ? options.jobs : static_cast<int>(std::thread::hardware_concurrency());
  local.may_go_on = nobody_asked_to_stop;
  local.on_progress = [&](std::size_t ended) { progress.show(ended); };
  switch (run_local(folder, open, local)) {
    case SweepEnd::all_ended:
      return {};
    case SweepEnd::stopped:
      return {false, "stopped; what is done is kept, go on with the same command and --resume"};
    case SweepEnd::disk_failed:
      return {false,
              fmt::format("results cannot be stored in \"{}\": the disk or its quota is full, "
                          "or the folder cannot be written; what is done is kept, make room "
                          "and go on with the same command and --resume",
                          folder.path().string())};
  }
  return {};
}

SweepRunEnd run_on_slurm(const SweepFolder& folder, const SweepOptions& options) {
  const std::size_t open = folder.runs_in(RunState::open).size();
  SweepProgress progress(open, options.quiet);
  SlurmOptions slurm;
  slurm.program = own_program();
  slurm.sbatch = options.sbatch;
  slurm.at_once = options.jobs;
  slurm.per_element = options.per_element;
  slurm.may_go_on = nobody_asked_to_stop;
  slurm.on_progress = [&](std::size_t left) { progress.show(open - std::min(open, left)); };
  slurm.on_note = [&](const std::string& sentence) {
    if (!options.quiet) fmt::print(stderr, "note: {}\n", sentence);
  };
  switch (run_slurm(folder, slurm)) {
    case SlurmEnd::all_ended:
      return {};
    case SlurmEnd::stopped:
      return {false,
              fmt::format("no longer watching; the jobs go on (their numbers are in {}), "
                          "`scancel` ends them, the same command with --resume watches again",
                          (folder.path() / "slurm/jobs.txt").string())};
    case SlurmEnd::runs_missing:
      return {false, fmt::format("{} runs left nothing behind, also when submitted again; the logs "
                                 "of their elements are in {}, go on with --resume",
                                 folder.runs_in(RunState::open).size(),
                                 (folder.path() / "slurm").string())};
  }
  return {};
}

}  // namespace

SweepRunEnd do_runs(const SweepFolder& folder, const SweepOptions& options) {
  if (folder.runs_in(RunState::open).empty()) return {};
  return options.on == "slurm" ? run_on_slurm(folder, options) : run_here(folder, options);
}

void mark_input(SweepPlan& plan) {
  const CardFolders folders = program_card_folders();
  try {
    plan.input_mark = input_mark(read_case(plan.case_file), folders);
  } catch (const Error&) {  // a case that is whole only with the values of the axes
    const std::vector<CaseOverride> changes = plan.changes(0);
    plan.input_mark = input_mark(read_case(plan.case_file, changes), folders);
  }
}

}  // namespace firstshot
