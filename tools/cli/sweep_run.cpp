#include "tools/cli/sweep_run.hpp"

#include <algorithm>
#include <cstdio>
#include <iostream>
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

SweepRunEnd full_disk(const SweepFolder& folder) {
  return {false, fmt::format("results cannot be stored in \"{}\": the disk or its quota is full, "
                             "or the folder cannot be written; what is done is kept, make room "
                             "and go on with the same command and --resume",
                             folder.path().string())};
}

bool nobody_asked_to_stop() { return StopRequest::signal() == 0; }

SweepRunEnd run_here(const SweepFolder& folder, const SweepOptions& options) {
  const std::vector<std::size_t> open = folder.runs_in(RunState::open);
  SweepProgress progress(std::cerr, progress_style(options.quiet), open.size());
  LocalRuns local;
  // The very program that runs here, also when a newer one lies in its place by now.
  local.program = "/proc/self/exe";
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
      return full_disk(folder);
    case SweepEnd::not_started:
      return {false,
              "the program for the next runs cannot be started; what is done is kept, go on "
              "with the same command and --resume"};
  }
  return {};
}

SweepRunEnd run_on_slurm(const SweepFolder& folder, const SweepOptions& options) {
  const std::size_t open = folder.runs_in(RunState::open).size();
  SweepProgress progress(std::cerr, progress_style(options.quiet), open);
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
    case SlurmEnd::disk_failed:
      return full_disk(folder);
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
