// The runs of a sweep on this machine: a process for each, several at once.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "io/sweep_folder.hpp"

namespace firstshot {

struct LocalRuns {
  std::filesystem::path program;         ///< what does a run: PROGRAM sweep --element N -o FOLDER
  int at_once = 1;                       ///< processes
  std::function<bool()> may_go_on = {};  ///< false: stop all, lose only what runs just now
  std::function<void(std::size_t ended)> on_progress = {};
};

/// Exit code of a run's process that could not store its result, as sysexits' EX_TEMPFAIL: the run
/// stays open.
inline constexpr int exit_not_stored = 75;
/// Exit code of a run's process that could not become the program, as that of a shell.
inline constexpr int exit_not_started = 126;

enum class SweepEnd {
  all_ended,    ///< each run has a result or a reason
  stopped,      ///< may_go_on said no
  disk_failed,  ///< what a run brought could not be stored
  not_started,  ///< the program is not there; its runs stay open
};

/// Does these runs. A run whose process breaks down gets that as its reason to fail.
/// @throws Error when no process can be made
SweepEnd run_local(const SweepFolder& folder, const std::vector<std::size_t>& runs,
                   const LocalRuns& options);

}  // namespace firstshot
