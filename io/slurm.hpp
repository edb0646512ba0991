// The runs of a sweep as job arrays of Slurm. The engine queues, limits and restarts; this writes
// the script and the list of runs, submits, asks what is still there, and leaves the results where
// local runs leave them: in the folders of the sweep. So a driver that dies loses nothing: the next
// one finds the jobs by FOLDER/slurm/jobs.txt and goes on watching.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "io/sweep_folder.hpp"

namespace firstshot {

struct SlurmOptions {
  std::filesystem::path program;
  std::vector<std::string> sbatch;  ///< further options, "--partition=long"
  int at_once = 0;      ///< elements of an array that run at once, 0: the engine's limit
  int per_element = 1;  ///< runs that one element does one after the other
  int tries = 3;        ///< of a run that leaves neither result nor reason
  double poll_seconds = 2.0;
  std::function<bool()> may_go_on = {};  ///< false: stop watching; the jobs stay
  std::function<void(std::size_t open)> on_progress = {};
  std::function<void(const std::string& sentence)> on_note = {};
};

enum class SlurmEnd {
  all_ended,     ///< each run has a result or a reason
  stopped,       ///< may_go_on said no; the jobs go on
  runs_missing,  ///< some runs left nothing behind in all tries
  disk_failed,   ///< the folder takes no more files, so runs leave nothing behind
};

/// @throws Error no Slurm here, or it does not answer (with its words)
void need_slurm();

/// Submits the runs that are open, in arrays no larger than the engine takes, watches them, and
/// submits again what was lost.
/// @throws Error no Slurm here, the engine refuses a job (with its words), or does not answer
SlurmEnd run_slurm(const SweepFolder& folder, const SlurmOptions& options);

/// Numbers of jobs of the folder that are still queued or running. @throws Error as run_slurm
std::vector<std::string> live_jobs(const SweepFolder& folder);

}  // namespace firstshot
