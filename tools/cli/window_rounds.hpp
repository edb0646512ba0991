// The runs of a process window, round by round: each round is a sweep in a folder of its own below
// rounds/. Which settings a round has follows from the results of those before it, so that a window
// that was stopped makes the same rounds again and finds their runs done.
#pragma once

#include <array>
#include <filesystem>
#include <map>
#include <span>
#include <string>
#include <vector>

#include "io/series.hpp"
#include "io/window_record.hpp"
#include "tools/cli/commands.hpp"

namespace firstshot {

using SettingText = std::array<std::string, 2>;  ///< values on both axes, as written

/// Runs are open: somebody asked to stop, or their results cannot be stored.
struct RunsStopped {
  std::string sentence;  ///< what to do next
};

class WindowRuns {
 public:
  /// @param base case, accuracy and mark of the input; its keys and its one row of values are what
  /// all runs share
  WindowRuns(const SweepOptions& options, SweepPlan base, std::vector<WindowAxis> axes,
             std::filesystem::path folder)
      : options_(options),
        base_(std::move(base)),
        axes_(std::move(axes)),
        folder_(std::move(folder)) {}

  /// Judges settings; those that have been run before are not run again. @throws RunsStopped, Error
  std::vector<WindowShot> shoot(const std::string& what, std::span<const SettingText> settings);
  /// The same for places of the map.
  std::vector<WindowShot> shoot(const std::string& what, std::span<const Point> places);
  /// Shots at one setting with what varies. @throws RunsStopped, Error
  WindowShots vary(const SettingText& setting, const std::vector<VariedKey>& varied,
                   std::size_t shots, std::uint64_t seed);

  /// All judged settings so far.
  const std::vector<WindowRun>& runs() const { return runs_; }
  const WindowRun& run_at(const SettingText& setting) const;
  const Series& series() const { return series_; }
  /// Of the shots with what varies.
  const Series& shot_series() const { return shot_series_; }

 private:
  /// A row of further keys for each run → results, in a folder of their own.
  SweepFolder do_round(const std::string& name, const std::string& what,
                       const std::vector<std::string>& keys,
                       const std::vector<std::vector<std::string>>& rows);

  const SweepOptions& options_;
  SweepPlan base_;
  std::vector<WindowAxis> axes_;
  std::filesystem::path folder_;
  std::size_t rounds_ = 0;
  std::map<SettingText, std::size_t> places_;  ///< in runs_
  std::vector<WindowRun> runs_;
  Series series_, shot_series_;
};

}  // namespace firstshot
