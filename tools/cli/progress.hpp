// How far a run is, for the person who waits: one line that is redrawn on a terminal, a plain line
// about every 10 % where the output goes to a file, nothing when asked to be quiet.
#pragma once

#include <chrono>
#include <iosfwd>
#include <string>

#include "solver/stage/state.hpp"

namespace firstshot {

enum class ProgressStyle { bar, lines, quiet };

/// bar when standard error is a terminal, else lines; quiet when asked for.
ProgressStyle progress_style(bool quiet);

/// How far the making of a model from a large solid is. Says nothing of what takes under a second,
/// and on a terminal wipes its line at the end.
class BuildMonitor {
 public:
  BuildMonitor(std::ostream& out, ProgressStyle style);
  ~BuildMonitor();
  BuildMonitor(const BuildMonitor&) = delete;
  BuildMonitor& operator=(const BuildMonitor&) = delete;
  void show(const std::string& step, double share);

 private:
  std::ostream& out_;
  ProgressStyle style_;
  std::chrono::steady_clock::time_point begin_, drawn_;
  std::string step_;
  bool line_open_ = false;
};

class Progress {
 public:
  Progress(std::ostream& out, ProgressStyle style);

  /// Call after each step.
  void show(const Snapshot& snapshot);
  /// Leaves the redrawn line standing.
  void finish();

 private:
  void draw_bar(const HistoryEntry& now, const State& state);
  void print_line(const HistoryEntry& now, const State& state);
  void print_hold(const HistoryEntry& now, const State& state);

  std::ostream& out_;
  ProgressStyle style_;
  std::chrono::steady_clock::time_point begin_;
  std::chrono::steady_clock::time_point drawn_;
  double share_at_begin_ = -1.0;  ///< filled when this run began; a resumed one does not begin at 0
  int next_tenth_ = 1;
  HoldMode shown_ = HoldMode::not_begun;  ///< last stage of holding that had a line
  bool line_open_ = false;
};

}  // namespace firstshot
