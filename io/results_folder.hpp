// The results folder of one run: result.h5, fill.pvd with its steps, weld_lines.vtp,
// air_pockets.vtp, summary.json.
//
// Folders and files. A missing folder is made. In a folder that holds a result of ours (a
// result.h5), the files of the old run are replaced; any other file is never touched. A folder
// where files of these names stand without a result.h5 is refused. Two runs at once in one folder
// are refused.
//
// Killed runs. Fields for the viewer are written with each kept step. result.h5 is brought up to
// date every few seconds (ResultsOptions), and always at the end, also that of an interrupted run;
// a killed run loses the work since then. With several threads files are written beside the
// solution (numeric/background.hpp): a full disk is told a few steps later. A run resumed from it
// ends with the same files as one that was never stopped.
#pragma once

#include <atomic>
#include <chrono>
#include <filesystem>
#include <optional>

#include "io/result_h5.hpp"
#include "io/summary.hpp"
#include "io/vtk_writer.hpp"
#include "solver/numeric/background.hpp"
#include "solver/whole/run_case.hpp"

namespace firstshot {

struct ResultsOptions {
  bool resume = false;
  double checkpoint_interval = 2.0;  ///< least time between two checkpoints [s]
  double checkpoint_share = 0.1;     ///< of a run's time that checkpoints may take [-] > 0
};

/// Keeps a folder for one run, as long as it lives, by a lock that ends with the process.
class FolderLock {
 public:
  /// @throws Error when another process holds the folder
  explicit FolderLock(const std::filesystem::path& folder);
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  ~FolderLock();

 private:
  int descriptor_ = -1;
};

class ResultsFolder {
 public:
  /// Begins a run, or goes on with the one in the folder if asked and there is one.
  /// @param setup must outlive this object
  /// @throws Error when the folder cannot be made or written, holds files that are not ours, is in
  /// use, or,
  ///         when resuming, holds a result of another case, model or program version
  ResultsFolder(const std::filesystem::path& folder, const CaseRecord& record, const Setup& setup,
                const ResultsOptions& options = {});

  /// Where to go on; nullptr to begin. For run_case.
  const Restart* restart() const { return restart_ ? &*restart_ : nullptr; }
  /// The run to go on with has already ended by itself: nothing is left to do.
  bool already_finished() const { return already_finished_; }

  /// For the observer of a run. @throws Error when the disk is full
  void on_snapshot(const Snapshot& snapshot);
  /// Writes what is left: the last step, the result, summary.json. An interrupted run can be
  /// resumed.
  void finish(const Result& result, const RunFigures& run);

  const std::filesystem::path& path() const { return folder_; }

 private:
  ResultFile begin(const CaseRecord& record);
  ResultFile resume(const CaseRecord& record);
  void keep(const Snapshot& snapshot);
  void write_checkpoint(const State& state, const std::vector<HistoryEntry>& history);

  std::filesystem::path folder_;
  const Setup& setup_;
  ResultsOptions options_;
  double unit_length_;  ///< of a coordinate unit of the input [m]
  std::optional<Restart> restart_;
  bool already_finished_ = false;
  std::int64_t last_step_ = -1;  ///< of the solver, among the kept ones
  FolderLock lock_;
  int kept_ = 0;  ///< steps, also those that still wait to be written
  // Of tasks_ while it works, the last two while a checkpoint waits:
  VtkSeries series_;
  ResultFile file_;
  std::chrono::steady_clock::time_point last_checkpoint_;
  double checkpoint_cost_ = 0.0;  ///< time that the last one took [s]
  std::atomic<bool> checkpoint_waits_{false};
  BackgroundTasks tasks_;  ///< ends before what it writes to
};

}  // namespace firstshot
