// Doing the open runs of a sweep, here or on a cluster, with progress for the person who waits.
#pragma once

#include <string>

#include "io/sweep_folder.hpp"
#include "tools/cli/commands.hpp"

namespace firstshot {

struct SweepRunEnd {
  bool complete = true;  ///< each run has a result or a reason
  std::string sentence;  ///< what to do next when not
};

/// Needs a StopRequest that lives. @throws Error as run_local and run_slurm
SweepRunEnd do_runs(const SweepFolder& folder, const SweepOptions& options);

/// Notes in the plan what its case and the files it names look like. @throws CaseError
void mark_input(SweepPlan& plan);

}  // namespace firstshot
