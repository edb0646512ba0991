// What this machine can do, measured with work that has nothing to do with moulding: the speed of
// its memory and of a sparse direct solution. Times of firstshot are only comparable between
// machines as ratios to these.
#pragma once

#include <cstddef>
#include <vector>

#include "tools/bench/sample.hpp"

namespace firstshot::bench {

/// a = b + s c over arrays of `length` numbers, the usual measure of memory speed (24 bytes are
/// moved per item).
Sample triad(std::size_t length, int threads, int runs);

/// Five-point Laplacian on the smallest square grid with at least `nodes` nodes, by SimplicialLDLT
/// of Eigen with the nested-dissection ordering of METIS.
struct DirectSolution {
  std::size_t nodes = 0;  ///< those of the grid
  Sample ordering;        ///< symbolic part, once
  Sample factorisation;   ///< numeric part
  Sample solution;        ///< two triangular solutions
  double residual = 0.0;  ///< |A x - b| / |b|, to see that it is a solution
};
DirectSolution direct_solution(std::size_t nodes, int runs);

struct References {
  std::vector<Row> rows;       ///< in the order in which they were measured
  double bandwidth = 0.0;      ///< of one thread [byte/s]
  double factorisation = 0.0;  ///< median [s]
  double solution = 0.0;       ///< median [s]
};
References measure_references(std::size_t nodes, std::size_t triad_length, int runs);

}  // namespace firstshot::bench
