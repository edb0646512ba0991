#include "solver/numeric/subset_solver.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <vector>

#include <Eigen/SparseCholesky>
#include <metis.h>

#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

using Matrix = Eigen::SparseMatrix<double, Eigen::ColMajor, int>;
using Factor = Eigen::SimplicialLDLT<Matrix, Eigen::Upper, Eigen::NaturalOrdering<int>>;

/// Neighbours of each node with the edge that leads there.
struct Adjacency {
  std::vector<int> start;  // (n + 1)
  std::vector<int> node;
  std::vector<int> edge;
};

Adjacency adjacency(std::size_t n, std::span<const NodePair> edges) {
  Adjacency g;
  g.start.assign(n + 1, 0);
  for (const auto& e : edges) {
    ++g.start[e[0] + 1];
    ++g.start[e[1] + 1];
  }
  std::partial_sum(g.start.begin(), g.start.end(), g.start.begin());
  g.node.resize(2 * edges.size());
  g.edge.resize(2 * edges.size());
  std::vector<int> next(g.start.begin(), g.start.end() - 1);
  for (std::size_t k = 0; k < edges.size(); ++k) {
    for (int side = 0; side < 2; ++side) {
      const int slot = next[edges[k][side]]++;
      g.node[slot] = edges[k][1 - side];
      g.edge[slot] = static_cast<int>(k);
    }
  }
  return g;
}

/// order[k] = node at place k of the elimination.
std::vector<int> nested_dissection(std::size_t n, const Adjacency& g) {
  std::vector<int> order(n);
  std::iota(order.begin(), order.end(), 0);
  if (n < 8 || g.node.empty()) return order;
  std::vector<idx_t> xadj(g.start.begin(), g.start.end());
  std::vector<idx_t> adjncy(g.node.begin(), g.node.end());
  std::vector<idx_t> perm(n), iperm(n);
  auto count = static_cast<idx_t>(n);
  if (METIS_NodeND(&count, xadj.data(), adjncy.data(), nullptr, nullptr, perm.data(),
                   iperm.data()) != METIS_OK)
    throw std::logic_error("nested dissection failed");
  std::copy(perm.begin(), perm.end(), order.begin());
  return order;
}

}  // namespace

struct SubsetSolver::Impl {
  Adjacency graph;
  std::vector<int> order;             // elimination place → node
  std::vector<std::uint8_t> unknown;  // (n_nodes) of the last solution
  std::vector<int> column_of;         // node → column of the pattern, -1 outside
  std::vector<int> node_of;           // column → node
  std::vector<int> entry_edge;        // edge of each stored entry, -1 on the diagonal
  bool stale = true;                  // another pattern is wanted
  Matrix matrix;                      // upper triangle of the pattern
  Factor factor;
  Eigen::VectorXd right;

  bool nothing_unknown() const;
  bool covered() const;
  void set_pattern();
  void set_values(std::span<const double> conductance, std::span<const double> diagonal);
  void set_right(std::span<const double> conductance, std::span<const double> given,
                 std::span<const double> x);
  SolveReport substitute(std::span<double> x);
};

bool SubsetSolver::Impl::nothing_unknown() const {
  return std::none_of(unknown.begin(), unknown.end(), [](std::uint8_t u) { return u != 0; });
}

/// Whether the pattern holds all unknowns and not many more.
bool SubsetSolver::Impl::covered() const {
  std::size_t count = 0;
  for (std::size_t i = 0; i < unknown.size(); ++i) {
    if (unknown[i] == 0) continue;
    if (column_of[i] < 0) return false;
    ++count;
  }
  constexpr double most = 1.25;
  constexpr std::size_t always = 500;
  return static_cast<double>(node_of.size()) <= most * static_cast<double>(count + always);
}

/// The unknowns and a few rings of neighbours around them, so that a set that grows ring by ring
/// keeps its pattern. Rows of nodes that are not unknown are those of the unit matrix.
void SubsetSolver::Impl::set_pattern() {
  stale = false;
  constexpr int rings = 3;
  std::vector<std::uint8_t> inside(unknown.begin(), unknown.end());
  std::vector<int> border, next;
  for (std::size_t i = 0; i < inside.size(); ++i)
    if (inside[i] != 0) border.push_back(static_cast<int>(i));
  for (int r = 0; r < rings; ++r) {
    next.clear();
    for (int node : border)
      for (int k = graph.start[node]; k < graph.start[node + 1]; ++k) {
        const int other = graph.node[k];
        if (inside[other] != 0) continue;
        inside[other] = 1;
        next.push_back(other);
      }
    border.swap(next);
  }
  node_of.clear();
  std::fill(column_of.begin(), column_of.end(), -1);
  for (int node : order)
    if (inside[node] != 0) {
      column_of[node] = static_cast<int>(node_of.size());
      node_of.push_back(node);
    }
  const int m = static_cast<int>(node_of.size());
  matrix.resize(m, m);
  std::vector<int> rows;
  std::vector<std::pair<int, int>> column;  // row, edge
  entry_edge.clear();
  int* outer = matrix.outerIndexPtr();
  for (int j = 0; j < m; ++j) {
    outer[j] = static_cast<int>(rows.size());
    column.clear();
    const int node = node_of[j];
    for (int k = graph.start[node]; k < graph.start[node + 1]; ++k) {
      const int i = column_of[graph.node[k]];
      if (i >= 0 && i < j) column.emplace_back(i, graph.edge[k]);
    }
    std::sort(column.begin(), column.end());
    for (const auto& [row, edge] : column) {
      rows.push_back(row);
      entry_edge.push_back(edge);
    }
    rows.push_back(j);
    entry_edge.push_back(-1);
  }
  outer[m] = static_cast<int>(rows.size());
  matrix.resizeNonZeros(outer[m]);
  std::copy(rows.begin(), rows.end(), matrix.innerIndexPtr());
  std::fill_n(matrix.valuePtr(), outer[m], 1.0);
  if (m > 0) factor.analyzePattern(matrix);
  right.resize(m);
}

void SubsetSolver::Impl::set_values(std::span<const double> conductance,
                                    std::span<const double> diagonal) {
  double* values = matrix.valuePtr();
  const int* outer = matrix.outerIndexPtr();
  const int* row = matrix.innerIndexPtr();
  parallel_for(node_of.size(), [&](std::size_t j) {
    const int node = node_of[j];
    const int last = outer[j + 1] - 1;
    if (unknown[node] == 0) {
      std::fill(values + outer[j], values + last, 0.0);
      values[last] = 1.0;
      return;
    }
    double sum = diagonal[node];
    for (int k = graph.start[node]; k < graph.start[node + 1]; ++k)
      sum += conductance[graph.edge[k]];
    for (int k = outer[j]; k < last; ++k)
      values[k] = unknown[node_of[row[k]]] != 0 ? -conductance[entry_edge[k]] : 0.0;
    values[last] = sum;
  });
}

void SubsetSolver::Impl::set_right(std::span<const double> conductance,
                                   std::span<const double> given, std::span<const double> x) {
  parallel_for(node_of.size(), [&](std::size_t j) {
    const int node = node_of[j];
    double sum = 0.0;
    if (unknown[node] != 0) {
      sum = given[node];
      for (int k = graph.start[node]; k < graph.start[node + 1]; ++k) {
        const int other = graph.node[k];
        if (unknown[other] == 0) sum += conductance[graph.edge[k]] * x[other];
      }
    }
    right[static_cast<Eigen::Index>(j)] = sum;
  });
}

SolveReport SubsetSolver::Impl::substitute(std::span<double> x) {
  const Eigen::VectorXd solution = factor.solve(right);
  if (!solution.allFinite()) return {false, 1, 1.0};
  for (std::size_t j = 0; j < node_of.size(); ++j)
    if (unknown[node_of[j]] != 0) x[node_of[j]] = solution[static_cast<Eigen::Index>(j)];
  const Eigen::VectorXd rest = matrix.selfadjointView<Eigen::Upper>() * solution - right;
  const double scale = right.norm();
  return {true, 1, scale > 0.0 ? rest.norm() / scale : 0.0};
}

SubsetSolver::SubsetSolver(std::size_t n, std::span<const NodePair> edges)
    : impl_(std::make_unique<Impl>()) {
  impl_->graph = adjacency(n, edges);
  impl_->order = nested_dissection(n, impl_->graph);
  impl_->column_of.assign(n, -1);
}
SubsetSolver::~SubsetSolver() = default;
SubsetSolver::SubsetSolver(SubsetSolver&&) noexcept = default;
SubsetSolver& SubsetSolver::operator=(SubsetSolver&&) noexcept = default;

SolveReport SubsetSolver::solve(std::span<const double> conductance,
                                std::span<const double> diagonal, std::span<const double> right,
                                std::span<const std::uint8_t> unknown, std::span<double> x) {
  Impl& s = *impl_;
  s.unknown.assign(unknown.begin(), unknown.end());
  if (s.nothing_unknown()) return {true, 0, 0.0};
  if (s.stale || !s.covered()) s.set_pattern();
  s.set_values(conductance, diagonal);
  s.set_right(conductance, right, x);
  s.factor.factorize(s.matrix);
  if (s.factor.info() != Eigen::Success) return {false, 1, 1.0};
  return s.substitute(x);
}

SolveReport SubsetSolver::solve_again(std::span<const double> conductance,
                                      std::span<const double> right, std::span<double> x) {
  Impl& s = *impl_;
  if (s.nothing_unknown()) return {true, 0, 0.0};
  s.set_right(conductance, right, x);
  return s.substitute(x);
}

void SubsetSolver::forget_pattern() { impl_->stale = true; }

}  // namespace firstshot
