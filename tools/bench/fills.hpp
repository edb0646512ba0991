// How fast firstshot fills a frame: where the time goes, what a second thread brings, how cost
// grows with the mesh, and how near the energy sweep comes to the memory's speed.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "solver/setup.hpp"
#include "solver/stage/stage_seconds.hpp"
#include "tools/bench/sample.hpp"

namespace firstshot::bench {

/// One fill from the first step to the last.
struct FillCost {
  std::size_t nodes = 0;
  int columns = 0;  ///< layers in a column
  long steps = 0;
  long solutions = 0;      ///< linear ones
  double filled = 0.0;     ///< sum over steps of the nodes that held melt
  double prepare = 0.0;    ///< control volumes, sections, ordering [s]
  double total = 0.0;      ///< all steps [s]
  double processor = 0.0;  ///< processor time of both, all threads [s]
  StageSeconds stage;
};
FillCost measure_fill(const Setup& setup, int threads);

struct FillOptions {
  std::filesystem::path case_file;
  std::vector<std::string> levels;    ///< accuracy levels to be measured
  std::vector<double> element_sizes;  ///< [mm] for the growth of cost, at `growth_steps` each
  int growth_steps = 30;
  int runs = 3;
};

/// The case of the options at an accuracy level; element_size 0: that of the level, else [mm] with
/// this number of volume steps.
Setup setup_of(const FillOptions& options, const std::string& level, double element_size,
               int steps);

/// @param factorisation median of the reference [s] @param bandwidth of the reference, one thread
/// [byte/s]
std::vector<Row> fill_rows(const FillOptions& options, double factorisation, double bandwidth);

/// Slope of ln y over ln x by least squares; at least two different x.
double exponent(const std::vector<double>& x, const std::vector<double>& y);

}  // namespace firstshot::bench
