// Solves a symmetric positive definite network problem on a changing subset of its nodes:
//
//   d_i x_i + Σ_e c_e (x_i - x_j) = r_i      for every node i that is unknown,  edges e = (i, j),
//
// with x given on all other nodes. The fill-reducing order of the whole network is found once by
// nested dissection [KarypisKumar1998], and so is the pattern of its factor (sparse_ldlt.hpp). A
// subset leaves out what none of its unknowns touches: nothing is analysed again, and the digits
// depend on the subset alone, not on what was solved before nor on the threads.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <span>

namespace firstshot {

/// Outcome of a numerical solution.
struct [[nodiscard]] SolveReport {
  bool converged = false;
  int iterations = 0;
  double residual = 0.0;  ///< relative; 0 where it was not looked at, 1 without a solution
};

/// Edge between two different nodes.
using NodePair = std::array<std::int32_t, 2>;

class SubsetSolver {
 public:
  /// @param n number of nodes @param edges (n_edges), each pair of nodes at most once
  SubsetSolver(std::size_t n, std::span<const NodePair> edges);
  ~SubsetSolver();
  SubsetSolver(SubsetSolver&&) noexcept;
  SubsetSolver& operator=(SubsetSolver&&) noexcept;

  /// @param conductance c (n_edges) ≥ 0
  /// @param diagonal    d (n_nodes) ≥ 0
  /// @param right       r (n_nodes)
  /// @param unknown     (n_nodes) 1 where x is sought, 0 where it is given
  /// @param x           (n_nodes) in: given values; out: the solution on the unknown nodes
  /// @return not converged when the matrix of the subset is singular
  SolveReport solve(std::span<const double> conductance, std::span<const double> diagonal,
                    std::span<const double> right, std::span<const std::uint8_t> unknown,
                    std::span<double> x);

  /// The same subset, conductance and diagonal as in the last solve, another right-hand side and
  /// other given values: one substitution with the factor at hand.
  SolveReport solve_again(std::span<const double> conductance, std::span<const double> right,
                          std::span<double> x);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace firstshot
