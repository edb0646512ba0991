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

std::string time_left(double seconds, double share) {
  return fmt::format("about {:.0f} s left", std::ceil(seconds * (1.0 - share) / share));
}

RedrawnLine::RedrawnLine(std::ostream& out, ProgressStyle style)
    : out_(out), style_(style), begin_(Clock::now()), drawn_(begin_ - redraw) {}

double RedrawnLine::seconds() const {
  return std::chrono::duration<double>(Clock::now() - begin_).count();
}

bool RedrawnLine::due(bool is_last) const { return is_last || Clock::now() - drawn_ >= redraw; }

void RedrawnLine::draw(const std::string& text) {
  drawn_ = Clock::now();
  out_ << '\r' << text << "\x1b[K" << std::flush;
  open_ = true;
}

void RedrawnLine::print(const std::string& text) { out_ << text << '\n' << std::flush; }

void RedrawnLine::finish() {
  if (open_) out_ << '\n' << std::flush;
  open_ = false;
}

void RedrawnLine::wipe() {
  if (open_) out_ << "\r\x1b[K" << std::flush;
  open_ = false;
}

void SweepProgress::show(std::size_t ended) {
  if (line_.style() == ProgressStyle::quiet || runs_ == 0) return;
  const bool is_bar = line_.style() == ProgressStyle::bar;
  const std::size_t tenth = 10 * ended / runs_;
  if (is_bar ? !line_.due(ended >= runs_) : tenth == tenth_) return;
  tenth_ = tenth;
  const double share = static_cast<double>(ended) / static_cast<double>(runs_);
  std::string text = fmt::format("{} of {} runs", ended, runs_);
  if (ended > 0 && ended < runs_) text += ", " + time_left(line_.seconds(), share);
  if (is_bar)
    line_.draw(text);
  else
    line_.print(text);
}

void BuildMonitor::show(const std::string& step, double share) {
  if (line_.style() == ProgressStyle::quiet || share >= 1.0 || line_.seconds() < 1.0) return;
  if (line_.style() == ProgressStyle::lines) {
    if (step != step_) line_.print(step + " ...");
  } else if (line_.due(false)) {
    line_.draw(fmt::format("{} {:.0f} %", step, 100.0 * share));
  }
  step_ = step;
}

void Progress::show(const Snapshot& snapshot) {
  if (line_.style() == ProgressStyle::quiet || snapshot.history.empty()) return;
  const HistoryEntry& now = snapshot.history.back();
  if (share_at_begin_ < 0.0) {
    share_at_begin_ = snapshot.history.size() > 1 ? now.filled_fraction : 0.0;
    next_tenth_ = static_cast<int>(std::floor(10.0 * share_at_begin_)) + 1;
  }
  if (line_.style() == ProgressStyle::bar)
    draw_bar(now, snapshot.state);
  else
    print_line(now, snapshot.state);
}

void Progress::draw_bar(const HistoryEntry& now, const State& state) {
  if (!line_.due(is_last(state))) return;
  const double share = std::clamp(now.filled_fraction, 0.0, 1.0);
  const int full = static_cast<int>(std::floor(share * bar_width));
  std::string line = fmt::format("[{:#<{}}{:.<{}}] {:5.1f} %  {:.3f} s  {:5.1f} MPa  step {}  {}",
                                 "", full, "", bar_width - full, 100.0 * share, now.time,
                                 now.injection_pressure / MPa, state.step, stage_name(state));
  const double done = share - share_at_begin_;
  if (done > 0.02 && share < 1.0)  // before that the guess jumps
    line += ", " + time_left(line_.seconds(), done / (1.0 - share_at_begin_));
  line_.draw(line);
}

void Progress::print_line(const HistoryEntry& now, const State& state) {
  if (state.hold.mode != HoldMode::not_begun) {
    print_hold(now, state);
    return;
  }
  const int tenth = static_cast<int>(std::floor(10.0 * now.filled_fraction + 1e-9));
  if (tenth < next_tenth_) return;
  next_tenth_ = tenth + 1;
  line_.print(
      fmt::format("{:5.1f} % full at {:.3f} s, {:.1f} MPa at the injection point, step {}, {}",
                  100.0 * now.filled_fraction, now.time, now.injection_pressure / MPa, state.step,
                  stage_name(state)));
}

/// A line when the press lets go, and at the end.
void Progress::print_hold(const HistoryEntry& now, const State& state) {
  if (state.hold.mode == shown_) return;
  shown_ = state.hold.mode;
  line_.print(fmt::format("{:.3f} s, {:.1f} MPa at the injection point, step {}, {}", now.time,
                          now.injection_pressure / MPa, state.step, stage_name(state)));
}

}  // namespace firstshot
