// How long a whole run computes, from the control volumes to the verdict, stage by stage, and what
// memory it takes.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "solver/setup.hpp"
#include "tools/bench/fills.hpp"
#include "tools/bench/references.hpp"

namespace firstshot::bench {

/// One run of run_case.
struct CycleCost {
  std::size_t nodes = 0;
  double fill = 0.0;    ///< control volumes, ordering, filling with its air [s]
  double hold = 0.0;    ///< [s]
  double after = 0.0;   ///< cooling, cycle, weld lines, verdict [s]
  double memory = 0.0;  ///< most that was in use above what was in use before [byte]; 0 unknown
  double total() const { return fill + hold + after; }
};
CycleCost measure_cycle(const Setup& setup, int threads);

/// Whole runs at each level of the options with one and two threads, against the factorisation
/// with solution.
std::vector<Row> cycle_rows(const FillOptions& options, const References& references);

/// Most memory in use since the last call of forget_peak(), and in use now [byte]; from
/// /proc/self/status, 0 where there is none.
double peak_memory();
double memory_in_use();
void forget_peak();

}  // namespace firstshot::bench
