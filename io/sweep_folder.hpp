// The folder of a sweep: plan.json, and for each run a folder runs/00001 with summary.json when it
// has a result, or failed.txt with the reason when it has none. A run that was killed, or whose
// disk was full, has neither and is done again. Both files appear whole or not at all.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/card_folders.hpp"
#include "io/case.hpp"
#include "io/results_folder.hpp"
#include "io/sweep_plan.hpp"

namespace firstshot {

enum class RunState { open, done, failed };

class SweepFolder {
 public:
  /// Makes the folder for a plan, or takes up the one that holds the same plan.
  /// @throws Error the folder holds another plan or runs of one, or cannot be written
  static SweepFolder begin(const std::filesystem::path& folder, const SweepPlan& plan, bool resume);
  /// For a process that does one of its runs. @throws Error no plan there
  static SweepFolder open(const std::filesystem::path& folder);

  const SweepPlan& plan() const { return plan_; }
  const std::filesystem::path& path() const { return folder_; }
  std::filesystem::path run_folder(std::size_t run) const;
  RunState state(std::size_t run) const;
  /// Numbers of all runs in a state, counted from 0.
  std::vector<std::size_t> runs_in(RunState state) const;

  /// Makes the run's folder; a reason to fail of an earlier try goes. @throws Error disk full
  void begin_run(std::size_t run) const;
  void write_summary(std::size_t run, const std::string& json) const;
  void write_failure(std::size_t run, const std::string& reason) const;
  /// Empty when there is none.
  std::string failure(std::size_t run) const;
  /// Text of summary.json of a run that is done.
  std::string summary(std::size_t run) const;
  /// Whether the folder still takes a file as large as a summary; where not, a run that left
  /// nothing is only a full disk.
  bool can_store() const;
  /// Lets runs that failed be done again.
  void forget_failures() const;

 private:
  SweepFolder(std::filesystem::path folder, SweepPlan plan)
      : folder_(std::move(folder)), plan_(std::move(plan)) {}
  std::filesystem::path folder_;
  SweepPlan plan_;
};

/// Fingerprint of a case, of the shape that it names and of its cards.
/// @throws CaseError as read_case and read_cards
std::string input_mark(const Case& c, const CardFolders& folders);

}  // namespace firstshot
