#include <csignal>
#include <sstream>

#include <catch2/catch.hpp>

#include "tools/cli/progress.hpp"
#include "tools/cli/stop_request.hpp"

namespace firstshot {
namespace {

/// Shows a run that goes from share `begin` to 1 in steps of `step`. @return what was printed
std::string show_run(ProgressStyle style, double begin, double step, bool resumed) {
  std::ostringstream out;
  Progress progress(out, style);
  const Setup setup;
  State state;
  std::vector<HistoryEntry> history;
  if (resumed) history.push_back({0.1, begin, 1e-6, 1e6, 0.0});
  for (double share = begin + step; share < 1.0 + 1e-12; share += step) {
    ++state.step;
    if (share + step > 1.0 + 1e-12) state.mode = FillMode::done;
    history.push_back({share, share, 1e-6, 20e6, 0.0});
    progress.show(Snapshot{setup, state, history, false});
  }
  progress.finish();
  return out.str();
}

long lines(const std::string& text) { return std::count(text.begin(), text.end(), '\n'); }

}  // namespace

TEST_CASE("progress into a file is one line for each tenth", "[cli]") {
  const std::string text = show_run(ProgressStyle::lines, 0.0, 0.01, false);
  CHECK(lines(text) == 10);
  CHECK(text.find("20.0 MPa") != std::string::npos);
  CHECK(text.find('\r') == std::string::npos);
}

TEST_CASE("a resumed run shows only the tenths that it fills itself", "[cli]") {
  CHECK(lines(show_run(ProgressStyle::lines, 0.55, 0.01, true)) == 5);
}

TEST_CASE("progress on a terminal redraws one line and leaves it standing", "[cli]") {
  const std::string text = show_run(ProgressStyle::bar, 0.0, 0.01, false);
  CHECK(text.front() == '\r');
  CHECK(lines(text) == 1);
  CHECK(text.find("100.0 %") != std::string::npos);
}

TEST_CASE("quiet progress prints nothing", "[cli]") {
  CHECK(show_run(ProgressStyle::quiet, 0.0, 0.01, false).empty());
}

TEST_CASE("progress of many runs is a line for each tenth, or one that is redrawn", "[cli]") {
  const auto show = [](ProgressStyle style) {
    std::ostringstream out;
    {
      SweepProgress progress(out, style, 40);
      for (std::size_t ended = 0; ended <= 40; ++ended) progress.show(ended);
    }
    return out.str();
  };
  const std::string text = show(ProgressStyle::lines);
  CHECK(lines(text) == 10);
  CHECK(text.find("20 of 40 runs, about 1 s left") != std::string::npos);
  CHECK(text.find('\r') == std::string::npos);
  const std::string drawn = show(ProgressStyle::bar);
  CHECK(lines(drawn) == 1);
  CHECK(drawn.find("40 of 40 runs") != std::string::npos);
  CHECK(show(ProgressStyle::quiet).empty());
}

TEST_CASE("a signal is noted while a run listens and forgotten with the next run", "[cli]") {
  {
    const StopRequest listening;
    CHECK(StopRequest::signal() == 0);
    std::raise(SIGTERM);
    CHECK(StopRequest::signal() == SIGTERM);
    CHECK(exit_code_of_signal(SIGTERM) == 143);
  }
  const StopRequest listening;
  CHECK(StopRequest::signal() == 0);
}

}  // namespace firstshot
