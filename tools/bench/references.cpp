#include "tools/bench/references.hpp"

#include <cmath>
#include <cstdint>
#include <iostream>  // Eigen/MetisSupport uses it without including it
#include <memory>

#include <Eigen/MetisSupport>  // after <iostream>
#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>
#include <fmt/format.h>
#include <omp.h>

namespace firstshot::bench {
namespace {

using Matrix = Eigen::SparseMatrix<double>;
constexpr double kBytesPerItem = 24.0;  // two numbers read, one written

/// Five-point Laplacian with a fixed rim: symmetric, positive definite; shape (side², side²).
Matrix grid_laplacian(int side) {
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(5 * static_cast<std::size_t>(side) * side);
  for (int y = 0; y < side; ++y) {
    for (int x = 0; x < side; ++x) {
      const int i = y * side + x;
      entries.emplace_back(i, i, 4.0);
      if (x > 0) entries.emplace_back(i, i - 1, -1.0);
      if (x + 1 < side) entries.emplace_back(i, i + 1, -1.0);
      if (y > 0) entries.emplace_back(i, i - side, -1.0);
      if (y + 1 < side) entries.emplace_back(i, i + side, -1.0);
    }
  }
  Matrix A(side * side, side * side);
  A.setFromTriplets(entries.begin(), entries.end());
  return A;
}

}  // namespace

Sample triad(std::size_t length, int threads, int runs) {
  const auto n = static_cast<std::ptrdiff_t>(length);
  // Not vectors: each page must first be touched by the thread that uses it.
  const std::unique_ptr<double[]> a(new double[length]), b(new double[length]),
      c(new double[length]);
  double* const pa = a.get();
  double* const pb = b.get();
  double* const pc = c.get();
#pragma omp parallel for schedule(static) num_threads(threads)
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    pa[i] = 0.0;
    pb[i] = 1.0;
    pc[i] = 2.0;
  }
  return measure(runs, [=] {
#pragma omp parallel for schedule(static) num_threads(threads)
    for (std::ptrdiff_t i = 0; i < n; ++i) pa[i] = pb[i] + 3.0 * pc[i];
  });
}

DirectSolution direct_solution(std::size_t nodes, int runs) {
  const int side = static_cast<int>(std::ceil(std::sqrt(static_cast<double>(nodes))));
  const Matrix A = grid_laplacian(side);
  const Eigen::VectorXd b = Eigen::VectorXd::Ones(A.rows());
  Eigen::VectorXd x;
  Eigen::SimplicialLDLT<Matrix, Eigen::Lower, Eigen::MetisOrdering<int>> solver;

  DirectSolution result;
  result.nodes = static_cast<std::size_t>(side) * side;
  result.ordering = measure(1, [&] { solver.analyzePattern(A); });
  result.factorisation = measure(runs, [&] { solver.factorize(A); });
  result.solution = measure(runs, [&] { x = solver.solve(b); });
  result.residual = (A * x - b).norm() / b.norm();
  return result;
}

References measure_references(std::size_t nodes, std::size_t triad_length, int runs) {
  References result;
  std::vector<Row>& rows = result.rows;
  double one_thread = 0.0;
  for (int threads : {1, 2}) {
    const Sample sample = triad(triad_length, threads, runs);
    if (threads == 1) one_thread = sample.median();
    const double rate = kBytesPerItem * static_cast<double>(triad_length) / sample.median();
    if (threads == 1) result.bandwidth = rate;
    rows.push_back(
        {fmt::format("memory triad, {} thread{}", threads, threads == 1 ? "" : "s"),
         fmt::format("{:.1f} GB/s", rate * 1e-9), sample.spread(),
         threads == 1 ? "" : fmt::format("{:.2f} x one thread", one_thread / sample.median())});
  }
  const DirectSolution direct = direct_solution(nodes, runs);
  const double unit = direct.factorisation.median();
  result.factorisation = unit;
  result.solution = direct.solution.median();
  const auto add = [&](const char* what, const Sample& sample) {
    rows.push_back({fmt::format("{}, {} nodes", what, direct.nodes), time_text(sample.median()),
                    sample.spread(),
                    fmt::format("{:.3f} x factorisation", sample.median() / unit)});
  };
  add("ordering", direct.ordering);
  add("factorisation", direct.factorisation);
  add("solve", direct.solution);
  return result;
}

}  // namespace firstshot::bench
