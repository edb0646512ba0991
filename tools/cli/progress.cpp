#include "tools/cli/progress.hpp"

#include <algorithm>
#include <cmath>
#include <ostream>
#include <string>

#include <fmt/format.h>
#include <unistd.h>

namespace firstshot {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int bar_width = 24;                            ///< characters
constexpr auto redraw = std::chrono::milliseconds(100);  ///< the eye needs no more
constexpr double MPa = 1e6;

double seconds_since(Clock::time_point begin) {
  return std::chrono::duration<double>(Clock::now() - begin).count();
}

std::string stage_name(const State& state) {
  switch (state.hold.mode) {
    case HoldMode::not_begun:
      break;
    case HoldMode::pressing:
      return "holding the full cavity";
    case HoldMode::released:
      return "cooling the closed cavity";
    case HoldMode::done:
      return "done";
  }
  switch (state.mode) {
    case FillMode::speed:
      return "filling";
    case FillMode::pressure_limit:
      return "filling at the pressure limit";
    case FillMode::holding:
      return "holding";
    case FillMode::done:
      return "filling is done";
  }
  return "";
}

/// The last step of a stage is always drawn.
bool is_last(const State& state) {
  return state.hold.mode == HoldMode::not_begun ? state.mode == FillMode::done
                                                : state.hold.mode == HoldMode::done;
}

}  // namespace

ProgressStyle progress_style(bool quiet) {
  if (quiet) return ProgressStyle::quiet;
  return isatty(STDERR_FILENO) != 0 ? ProgressStyle::bar : ProgressStyle::lines;
}

BuildMonitor::BuildMonitor(std::ostream& out, ProgressStyle style)
    : out_(out), style_(style), begin_(Clock::now()), drawn_(begin_ - redraw) {}

BuildMonitor::~BuildMonitor() {
  if (line_open_) out_ << "\r\x1b[K" << std::flush;
}

void BuildMonitor::show(const std::string& step, double share) {
  if (style_ == ProgressStyle::quiet || share >= 1.0 || seconds_since(begin_) < 1.0) return;
  if (style_ == ProgressStyle::lines) {
    if (step != step_) out_ << step << " ...\n" << std::flush;
  } else if (Clock::now() - drawn_ >= redraw) {
    drawn_ = Clock::now();
    out_ << fmt::format("\r{} {:.0f} %\x1b[K", step, 100.0 * share) << std::flush;
    line_open_ = true;
  }
  step_ = step;
}

Progress::Progress(std::ostream& out, ProgressStyle style)
    : out_(out), style_(style), begin_(Clock::now()), drawn_(begin_ - redraw) {}

void Progress::show(const Snapshot& snapshot) {
  if (style_ == ProgressStyle::quiet || snapshot.history.empty()) return;
  const HistoryEntry& now = snapshot.history.back();
  if (share_at_begin_ < 0.0) {
    share_at_begin_ = snapshot.history.size() > 1 ? now.filled_fraction : 0.0;
    next_tenth_ = static_cast<int>(std::floor(10.0 * share_at_begin_)) + 1;
  }
  if (style_ == ProgressStyle::bar)
    draw_bar(now, snapshot.state);
  else
    print_line(now, snapshot.state);
}

void Progress::draw_bar(const HistoryEntry& now, const State& state) {
  if (Clock::now() - drawn_ < redraw && !is_last(state)) return;
  drawn_ = Clock::now();
  const double share = std::clamp(now.filled_fraction, 0.0, 1.0);
  const int full = static_cast<int>(std::floor(share * bar_width));
  std::string line = fmt::format("\r[{:#<{}}{:.<{}}] {:5.1f} %  {:.3f} s  {:5.1f} MPa  step {}  {}",
                                 "", full, "", bar_width - full, 100.0 * share, now.time,
                                 now.injection_pressure / MPa, state.step, stage_name(state));
  const double done = share - share_at_begin_;
  if (done > 0.02 && share < 1.0)  // before that the guess jumps
    line += fmt::format(", about {:.0f} s left",
                        std::ceil(seconds_since(begin_) * (1.0 - share) / done));
  out_ << line << "\x1b[K" << std::flush;
  line_open_ = true;
}

void Progress::print_line(const HistoryEntry& now, const State& state) {
  if (state.hold.mode != HoldMode::not_begun) {
    print_hold(now, state);
    return;
  }
  const int tenth = static_cast<int>(std::floor(10.0 * now.filled_fraction + 1e-9));
  if (tenth < next_tenth_) return;
  next_tenth_ = tenth + 1;
  out_ << fmt::format(
              "{:5.1f} % full at {:.3f} s, {:.1f} MPa at the injection point, step {}, {}\n",
              100.0 * now.filled_fraction, now.time, now.injection_pressure / MPa, state.step,
              stage_name(state))
       << std::flush;
}

/// A line when the press lets go, and at the end.
void Progress::print_hold(const HistoryEntry& now, const State& state) {
  if (state.hold.mode == shown_) return;
  shown_ = state.hold.mode;
  out_ << fmt::format("{:.3f} s, {:.1f} MPa at the injection point, step {}, {}\n", now.time,
                      now.injection_pressure / MPa, state.step, stage_name(state))
       << std::flush;
}

void Progress::finish() {
  if (line_open_) out_ << '\n' << std::flush;
  line_open_ = false;
}

}  // namespace firstshot
