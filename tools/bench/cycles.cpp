#include "tools/bench/cycles.hpp"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <malloc.h>

#include "solver/numeric/parallel.hpp"
#include "solver/whole/run_case.hpp"

namespace firstshot::bench {
namespace {

using Clock = std::chrono::steady_clock;

double seconds(Clock::time_point from, Clock::time_point to) {
  return std::chrono::duration<double>(to - from).count();
}

double status(const std::string& key) {
  std::ifstream file("/proc/self/status");
  std::string line;
  constexpr double kilobyte = 1024.0;
  while (std::getline(file, line)) {
    std::istringstream words(line);
    std::string name;
    double value = 0.0;
    if (words >> name >> value && name == key + ":") return kilobyte * value;
  }
  return 0.0;
}

CycleCost median_of(const Setup& setup, int threads, int runs, Sample& sample) {
  std::vector<CycleCost> costs;
  costs.reserve(static_cast<std::size_t>(runs));
  for (int i = 0; i < runs; ++i) costs.push_back(measure_cycle(setup, threads));
  for (const CycleCost& c : costs) sample.seconds.push_back(c.total());
  std::sort(costs.begin(), costs.end(),
            [](const CycleCost& a, const CycleCost& b) { return a.total() < b.total(); });
  return costs[(costs.size() - 1) / 2];
}

}  // namespace

double peak_memory() { return status("VmHWM"); }
double memory_in_use() { return status("VmRSS"); }

void forget_peak() {
  malloc_trim(0);  // what is free goes back, so that it does not count as in use
  std::ofstream("/proc/self/clear_refs") << "5";
}

CycleCost measure_cycle(const Setup& setup, int threads) {
  set_thread_count(threads);
  CycleCost cost;
  forget_peak();
  const double before = memory_in_use();
  const auto begin = Clock::now();
  auto full = begin, held = begin;
  const Result result = run_case(setup, [&](const Snapshot& p) {
    held = Clock::now();
    if (p.state.hold.mode == HoldMode::not_begun) full = held;
    return true;
  });
  const auto end = Clock::now();
  cost.nodes = result.state.fill.size();
  cost.fill = seconds(begin, full);
  cost.hold = seconds(full, held);
  cost.after = seconds(held, end);
  cost.memory = std::max(peak_memory() - before, 0.0);
  set_thread_count(1);
  return cost;
}

std::vector<Row> cycle_rows(const FillOptions& options, const References& references) {
  std::vector<Row> rows;
  const double unit = references.factorisation + references.solution;
  for (const std::string& level : options.levels) {
    const Setup setup = setup_of(options, level, 0.0, 0);
    Sample one, two;
    median_of(setup, 1, options.runs, one);
    const CycleCost cost = median_of(setup, 2, options.runs, two);
    const auto nodes = static_cast<double>(cost.nodes);
    rows.push_back({fmt::format("{}: whole cycle, {} nodes, two threads", level, cost.nodes),
                    time_text(cost.total()), two.spread(),
                    fmt::format("{:.2f} x factorisation with solve", cost.total() / unit)});
    const auto add = [&](const char* what, double time) {
      rows.push_back({what, time_text(time), 0.0,
                      fmt::format("{:.0f} % of the cycle", 100.0 * time / cost.total())});
    };
    add("  filling", cost.fill);
    add("  holding", cost.hold);
    add("  cooling and what follows", cost.after);
    rows.push_back({"  memory above the mesh", fmt::format("{:.1f} MB", 1e-6 * cost.memory), 0.0,
                    fmt::format("{:.1f} kB per node", 1e-3 * cost.memory / nodes)});
    rows.push_back({fmt::format("{}: whole cycle, one thread", level), time_text(one.median()),
                    one.spread(),
                    fmt::format("{:.2f} times as long", one.median() / two.median())});
  }
  return rows;
}

}  // namespace firstshot::bench
