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

/// "about 40 s left" for what goes on as fast as so far. @param share done of it, 0 < share
std::string time_left(double seconds, double share);

/// One line on a terminal that is drawn over and over.
class RedrawnLine {
 public:
  RedrawnLine(std::ostream& out, ProgressStyle style);
  RedrawnLine(const RedrawnLine&) = delete;
  RedrawnLine& operator=(const RedrawnLine&) = delete;

  ProgressStyle style() const { return style_; }
  /// Since it was made [s].
  double seconds() const;
  /// Whether the eye can make use of another drawing; the last one is always due.
  bool due(bool is_last) const;
  void draw(const std::string& text);
  /// A line of its own, for a file.
  void print(const std::string& text);
  /// Leaves the drawn line standing, or takes it away.
  void finish();
  void wipe();

 private:
  std::ostream& out_;
  ProgressStyle style_;
  std::chrono::steady_clock::time_point begin_, drawn_;
  bool open_ = false;
};

/// "37 of 100 runs, about 40 s left".
class SweepProgress {
 public:
  SweepProgress(std::ostream& out, ProgressStyle style, std::size_t runs)
      : line_(out, style), runs_(runs) {}
  ~SweepProgress() { line_.finish(); }
  SweepProgress(const SweepProgress&) = delete;
  SweepProgress& operator=(const SweepProgress&) = delete;
  void show(std::size_t ended);

 private:
  RedrawnLine line_;
  std::size_t runs_, tenth_ = 0;
};

/// How far the making of a model from a large solid is. Says nothing of what takes under a second,
/// and on a terminal wipes its line at the end.
class BuildMonitor {
 public:
  BuildMonitor(std::ostream& out, ProgressStyle style) : line_(out, style) {}
  ~BuildMonitor() { line_.wipe(); }
  BuildMonitor(const BuildMonitor&) = delete;
  BuildMonitor& operator=(const BuildMonitor&) = delete;
  void show(const std::string& step, double share);

 private:
  RedrawnLine line_;
  std::string step_;
};

class Progress {
 public:
  Progress(std::ostream& out, ProgressStyle style) : line_(out, style) {}

  /// Call after each step.
  void show(const Snapshot& snapshot);
  /// Leaves the redrawn line standing.
  void finish() { line_.finish(); }

 private:
  void draw_bar(const HistoryEntry& now, const State& state);
  void print_line(const HistoryEntry& now, const State& state);
  void print_hold(const HistoryEntry& now, const State& state);

  RedrawnLine line_;
  double share_at_begin_ = -1.0;  ///< filled when this run began; a resumed one does not begin at 0
  int next_tenth_ = 1;
  HoldMode shown_ = HoldMode::not_begun;  ///< last stage of holding that had a line
};

}  // namespace firstshot
