#include "tools/bench/sample.hpp"

#include <algorithm>
#include <chrono>

#include <fmt/format.h>

namespace firstshot::bench {

double Sample::median() const {
  std::vector<double> sorted = seconds;
  std::sort(sorted.begin(), sorted.end());
  const std::size_t half = sorted.size() / 2;
  return sorted.size() % 2 == 1 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half]);
}

double Sample::spread() const {
  const auto [fastest, slowest] = std::minmax_element(seconds.begin(), seconds.end());
  return (*slowest - *fastest) / median();
}

Sample measure(int runs, const std::function<void()>& work) {
  using Clock = std::chrono::steady_clock;
  work();
  Sample sample;
  for (int i = 0; i < runs; ++i) {
    const auto start = Clock::now();
    work();
    sample.seconds.push_back(std::chrono::duration<double>(Clock::now() - start).count());
  }
  return sample;
}

std::string time_text(double seconds) {
  if (seconds >= 1.0) return fmt::format("{:.3g} s", seconds);
  if (seconds >= 1e-3) return fmt::format("{:.3g} ms", seconds * 1e3);
  return fmt::format("{:.3g} us", seconds * 1e6);
}

std::string table_text(const std::vector<Row>& rows) {
  std::size_t width = 0;
  for (const Row& row : rows) width = std::max(width, row.what.size());
  std::string text =
      fmt::format("{:<{}}  {:>10}  {:>7}  {}\n", "what", width, "median", "spread", "against");
  for (const Row& row : rows) {
    text += fmt::format("{:<{}}  {:>10}  {:>5.1f} %  {}\n", row.what, width, row.value,
                        100.0 * row.spread, row.against);
  }
  return text;
}

}  // namespace firstshot::bench
