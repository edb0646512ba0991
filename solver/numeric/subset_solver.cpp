#include "solver/numeric/subset_solver.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <utility>
#include <vector>

#include <metis.h>

#include "solver/numeric/parallel.hpp"
#include "solver/numeric/sparse_ldlt.hpp"

namespace firstshot {
namespace {

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
  std::vector<int> node_of;  // column → node
  // Neighbours of each column, those to its left first:
  std::vector<int> start;       // (n + 1)
  std::vector<int> column;      // (2 n_edges)
  std::vector<int> edge;        // (2 n_edges)
  std::vector<int> left_start;  // (n + 1) of `left`
  SparseLdlt factor;
  // Of the last solution:
  std::vector<std::uint8_t> takes_part;  // (n)
  std::vector<double> left;              // (n_edges)
  std::vector<double> main, x;           // (n)

  std::vector<int> arrange(const Adjacency& graph, const std::vector<int>& order);
  void set_system(std::span<const double> conductance, std::span<const double> diagonal,
                  std::span<const double> right, std::span<const double> given);
  void set_right(std::span<const double> conductance, std::span<const double> right,
                 std::span<const double> given);
  SolveReport take_over(std::span<double> solution) const;
};

/// Numbers the columns in this order of the nodes. @return columns to the left in each row
std::vector<int> SubsetSolver::Impl::arrange(const Adjacency& graph,
                                             const std::vector<int>& order) {
  node_of = order;
  std::vector<int> column_of(order.size()), left_columns;
  for (std::size_t k = 0; k < order.size(); ++k) column_of[order[k]] = static_cast<int>(k);
  start.assign(1, 0);
  left_start.assign(1, 0);
  column.clear();
  edge.clear();
  std::vector<std::pair<int, int>> row;  // column, edge
  for (std::size_t k = 0; k < order.size(); ++k) {
    row.clear();
    for (int e = graph.start[order[k]]; e < graph.start[order[k] + 1]; ++e)
      row.emplace_back(column_of[graph.node[e]], graph.edge[e]);
    std::sort(row.begin(), row.end());
    for (const auto& [c, e] : row) {
      column.push_back(c);
      edge.push_back(e);
      if (c < static_cast<int>(k)) left_columns.push_back(c);
    }
    start.push_back(static_cast<int>(column.size()));
    left_start.push_back(static_cast<int>(left_columns.size()));
  }
  return left_columns;
}

/// Matrix and right-hand side in one pass.
void SubsetSolver::Impl::set_system(std::span<const double> conductance,
                                    std::span<const double> diagonal, std::span<const double> right,
                                    std::span<const double> given) {
  parallel_for(node_of.size(), [&](std::size_t k) {
    const int lefts = left_start[k + 1] - left_start[k];
    double* const entries = left.data() + left_start[k];
    if (takes_part[k] == 0) {
      std::fill_n(entries, lefts, 0.0);
      main[k] = 1.0;
      x[k] = 0.0;
      return;
    }
    double sum = diagonal[node_of[k]];
    double flow = right[node_of[k]];
    for (int e = start[k]; e < start[k + 1]; ++e) {
      const double c = conductance[edge[e]];
      sum += c;
      const bool sought = takes_part[column[e]] != 0;
      if (!sought) flow += c * given[node_of[column[e]]];
      const int place = e - start[k];
      if (place < lefts) entries[place] = sought ? -c : 0.0;
    }
    main[k] = sum;
    x[k] = flow;
  });
}

void SubsetSolver::Impl::set_right(std::span<const double> conductance,
                                   std::span<const double> right, std::span<const double> given) {
  parallel_for(node_of.size(), [&](std::size_t k) {
    x[k] = 0.0;
    if (takes_part[k] == 0) return;
    double sum = right[node_of[k]];
    for (int e = start[k]; e < start[k + 1]; ++e)
      if (takes_part[column[e]] == 0) sum += conductance[edge[e]] * given[node_of[column[e]]];
    x[k] = sum;
  });
}

SolveReport SubsetSolver::Impl::take_over(std::span<double> solution) const {
  std::atomic<bool> finite{true};
  parallel_for(node_of.size(), [&](std::size_t k) {
    if (takes_part[k] == 0) return;
    if (!std::isfinite(x[k])) finite.store(false, std::memory_order_relaxed);
    solution[node_of[k]] = x[k];
  });
  return {finite.load(), 1, 0.0};
}

SubsetSolver::SubsetSolver(std::size_t n, std::span<const NodePair> edges)
    : impl_(std::make_unique<Impl>()) {
  Impl& s = *impl_;
  const Adjacency graph = adjacency(n, edges);
  std::vector<int> order = nested_dissection(n, graph);
  std::vector<int> left_columns = s.arrange(graph, order);
  const std::vector<int> places = post_order(elimination_tree({s.left_start, left_columns}));
  std::vector<int> in_post_order;
  in_post_order.reserve(n);
  for (const int place : places) in_post_order.push_back(order[place]);
  left_columns = s.arrange(graph, in_post_order);
  s.factor.set_pattern({s.left_start, left_columns});
  s.takes_part.resize(n);
  s.left.resize(edges.size());
  s.main.resize(n);
  s.x.resize(n);
}
SubsetSolver::~SubsetSolver() = default;
SubsetSolver::SubsetSolver(SubsetSolver&&) noexcept = default;
SubsetSolver& SubsetSolver::operator=(SubsetSolver&&) noexcept = default;

SolveReport SubsetSolver::solve(std::span<const double> conductance,
                                std::span<const double> diagonal, std::span<const double> right,
                                std::span<const std::uint8_t> unknown, std::span<double> x) {
  Impl& s = *impl_;
  parallel_for(s.node_of.size(), [&](std::size_t k) { s.takes_part[k] = unknown[s.node_of[k]]; });
  s.set_system(conductance, diagonal, right, x);
  if (!s.factor.solve(s.left, s.main, s.takes_part, s.x)) return {false, 1, 1.0};
  return s.take_over(x);
}

SolveReport SubsetSolver::solve_again(std::span<const double> conductance,
                                      std::span<const double> right, std::span<double> x) {
  Impl& s = *impl_;
  s.set_right(conductance, right, x);
  s.factor.solve_again(s.x);
  return s.take_over(x);
}

}  // namespace firstshot
