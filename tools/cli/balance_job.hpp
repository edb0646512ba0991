// The runs of a balance: whole ones with results, and those that only fill.
#pragma once

#include <filesystem>
#include <string>

#include "io/build_setup.hpp"
#include "solver/whole/fill_record.hpp"
#include "tools/cli/balance_report.hpp"
#include "tools/cli/commands.hpp"

namespace firstshot {

/// Somebody asked to stop; what is unfinished is not written.
struct Stopped {};

class BalanceJob {
 public:
  /// @param written the case as read
  BalanceJob(const BalanceOptions& options, std::filesystem::path folder, Case written);

  const BalanceOptions& options() const { return options_; }
  const std::filesystem::path& folder() const { return folder_; }
  const Case& written() const { return written_; }
  int runs() const { return runs_; }
  BuiltSetup build(const Case& c) const;

  /// A whole run with its results, into a folder of its own. @param recorder may be null
  Result run(const BuiltSetup& built, const char* name, FillRecorder* recorder = nullptr);
  /// Fills only, to see what a proposal is worth. @param recorder may be null
  Result fill(const Setup& setup, FillRecorder* recorder = nullptr);
  void say(const std::string& text) const;

 private:
  const BalanceOptions& options_;
  std::filesystem::path folder_;
  Case written_;
  int runs_ = 0;
};

/// Vents, one by one where the worst air is, until no air is left that a vent can cure; one that
/// turns out to be needless goes again.
Case find_vents(BalanceJob& job, const Result& first, BalanceAnswer& answer);
/// Further gates for parts that stay short or catch air, each verified by a run.
Case find_gates(BalanceJob& job, const Result& first, BalanceAnswer& answer);

}  // namespace firstshot
