#include "tools/bench/fills.hpp"

#include <chrono>
#include <cmath>
#include <ctime>

#include <fmt/format.h>

#include "io/build_setup.hpp"
#include "io/case.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/stage/fill.hpp"
#include "tools/cli/card_places.hpp"

namespace firstshot::bench {
namespace {

double since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// Bytes that the sweep must move for a node that holds melt: temperature in and out, 1/η₀, two
/// numbers per layer written for the nodes downstream, those and the temperatures of three
/// neighbours read.
double sweep_bytes(int columns) {
  constexpr double numbers_per_layer = 2.0 + 1.0 + 2.0 + 3.0 * 3.0;
  return sizeof(double) * numbers_per_layer * columns;
}

/// The fill whose time is the median of several.
FillCost median_fill(const Setup& setup, int threads, int runs, Sample& sample) {
  std::vector<FillCost> costs;
  for (int i = 0; i < runs; ++i) {
    costs.push_back(measure_fill(setup, threads));
    sample.seconds.push_back(costs.back().total);
  }
  const double median = sample.median();
  std::size_t best = 0;
  for (std::size_t i = 1; i < costs.size(); ++i)
    if (std::abs(costs[i].total - median) < std::abs(costs[best].total - median)) best = i;
  return costs[best];
}

}  // namespace

Setup setup_of(const FillOptions& options, const std::string& level, double element_size,
               int steps) {
  Case c = read_case(options.case_file);
  set_accuracy_level(c, level);
  if (element_size > 0.0) {
    c.accuracy.element_size = element_size * 1e-3;
    c.accuracy.volume_steps = steps;
  }
  return build_setup(c, program_card_folders()).setup;
}

FillCost measure_fill(const Setup& setup, int threads) {
  set_thread_count(threads);
  FillCost cost;
  const auto begin = std::chrono::steady_clock::now();
  const std::clock_t clock_begin = std::clock();
  Fill fill(setup);
  State state = fill.start();
  cost.prepare = since(begin);
  const auto first = std::chrono::steady_clock::now();
  while (!fill.done(state)) {
    fill.step(state);
    for (double f : state.fill.span()) cost.filled += f > 0.0 ? 1.0 : 0.0;
  }
  cost.total = since(first);
  cost.processor = static_cast<double>(std::clock() - clock_begin) / CLOCKS_PER_SEC;
  cost.nodes = state.fill.size();
  cost.columns = fill.grid().columns();
  cost.steps = state.step;
  cost.solutions = fill.solutions();
  cost.stage = fill.seconds();
  set_thread_count(1);
  return cost;
}

double exponent(const std::vector<double>& x, const std::vector<double>& y) {
  const auto n = static_cast<double>(x.size());
  double sx = 0.0;
  double sy = 0.0;
  double sxx = 0.0;
  double sxy = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double u = std::log(x[i]);
    const double v = std::log(y[i]);
    sx += u;
    sy += v;
    sxx += u * u;
    sxy += u * v;
  }
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

std::vector<Row> fill_rows(const FillOptions& options, double factorisation, double bandwidth) {
  std::vector<Row> rows;
  for (const std::string& level : options.levels) {
    const Setup setup = setup_of(options, level, 0.0, 0);
    Sample one, two;
    const FillCost cost = median_fill(setup, 1, options.runs, one);
    const auto share = [&](double seconds) {
      return fmt::format("{:.0f} % of the fill", 100.0 * seconds / cost.total);
    };
    rows.push_back({fmt::format("{}: fill, {} nodes, {} steps", level, cost.nodes, cost.steps),
                    time_text(cost.total), one.spread(),
                    fmt::format("{:.2f} x factorisation", cost.total / factorisation)});
    rows.push_back(
        {"  viscosity", time_text(cost.stage.viscosity), 0.0, share(cost.stage.viscosity)});
    rows.push_back(
        {fmt::format("  front, {:.1f} solutions per step",
                     static_cast<double>(cost.solutions) / static_cast<double>(cost.steps)),
         time_text(cost.stage.front), 0.0, share(cost.stage.front)});
    rows.push_back({"  fluidity", time_text(cost.stage.fluidity), 0.0, share(cost.stage.fluidity)});
    const double rate = cost.filled * sweep_bytes(cost.columns) / cost.stage.heat;
    rows.push_back({fmt::format("  energy sweep, {:.0f} % of the triad", 100.0 * rate / bandwidth),
                    time_text(cost.stage.heat), 0.0, share(cost.stage.heat)});
    rows.push_back({"  before the first step", time_text(cost.prepare), 0.0, share(cost.prepare)});
    median_fill(setup, 2, options.runs, two);
    rows.push_back({fmt::format("{}: fill with two threads", level), time_text(two.median()),
                    two.spread(),
                    fmt::format("{:.2f} times as fast", one.median() / two.median())});
  }
  std::vector<double> nodes, seconds;
  for (double size : options.element_sizes) {
    const Setup setup = setup_of(options, "default", size, options.growth_steps);
    const FillCost cost = measure_fill(setup, 1);
    nodes.push_back(static_cast<double>(cost.nodes));
    // Processor time: what others do on the machine matters less.
    seconds.push_back(cost.processor / static_cast<double>(cost.steps));
    rows.push_back(
        {fmt::format("growth: {} nodes, {} steps", cost.nodes, cost.steps),
         time_text(seconds.back()), 0.0,
         fmt::format("per step, {:.1f} solutions each",
                     static_cast<double>(cost.solutions) / static_cast<double>(cost.steps))});
  }
  if (nodes.size() > 1)
    rows.push_back({"growth: exponent of time over nodes",
                    fmt::format("{:.2f}", exponent(nodes, seconds)), 0.0, ""});
  return rows;
}

}  // namespace firstshot::bench
