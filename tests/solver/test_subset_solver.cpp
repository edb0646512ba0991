// The network solver on a small chain whose solution is known.
#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/numeric/subset_solver.hpp"

using namespace firstshot;

namespace {

struct Grid {
  std::size_t n = 0;
  std::vector<NodePair> edges;
  std::vector<double> conductance, diagonal, right;
};

Grid random_grid(int wide, int high) {
  Grid g;
  g.n = static_cast<std::size_t>(wide) * high;
  for (int y = 0; y < high; ++y)
    for (int x = 0; x < wide; ++x) {
      const int i = y * wide + x;
      if (x + 1 < wide) g.edges.push_back({i, i + 1});
      if (y + 1 < high) g.edges.push_back({i, i + wide});
      if (x + 1 < wide && y + 1 < high) g.edges.push_back({i, i + wide + 1});
    }
  std::mt19937 random(7);
  std::uniform_real_distribution<double> decades(-2.0, 2.0), any(-1.0, 1.0);
  for (std::size_t e = 0; e < g.edges.size(); ++e)
    g.conductance.push_back(std::pow(10.0, decades(random)));
  for (std::size_t i = 0; i < g.n; ++i) {
    g.diagonal.push_back(i % 5 == 0 ? 0.1 : 0.0);
    g.right.push_back(any(random));
  }
  return g;
}

/// The nodes of which every seventh or so, and all beyond a row, are given.
std::vector<std::uint8_t> subset(const Grid& g, std::size_t beyond) {
  std::vector<std::uint8_t> unknown(g.n, 1);
  for (std::size_t i = 0; i < g.n; ++i) unknown[i] = i % 7 == 3 || i >= beyond ? 0 : 1;
  return unknown;
}

std::vector<double> solved(SubsetSolver& solver, const Grid& g,
                           const std::vector<std::uint8_t>& unknown) {
  std::vector<double> x(g.n);
  for (std::size_t i = 0; i < g.n; ++i)
    x[i] = unknown[i] != 0 ? 0.0 : std::sin(static_cast<double>(i));
  REQUIRE(solver.solve(g.conductance, g.diagonal, g.right, unknown, x).converged);
  return x;
}

/// What is left of each unknown node's balance, in share of the flows through it.
double worst_balance(const Grid& g, const std::vector<std::uint8_t>& unknown,
                     const std::vector<double>& x) {
  std::vector<double> rest(g.n), through(g.n);
  for (std::size_t i = 0; i < g.n; ++i) {
    rest[i] = g.right[i] - g.diagonal[i] * x[i];
    through[i] = std::abs(g.right[i]);
  }
  for (std::size_t e = 0; e < g.edges.size(); ++e) {
    const auto [a, b] = g.edges[e];
    const double flow = g.conductance[e] * (x[a] - x[b]);
    rest[a] -= flow;
    rest[b] += flow;
    through[a] += g.conductance[e] * (std::abs(x[a]) + std::abs(x[b]));
    through[b] += g.conductance[e] * (std::abs(x[a]) + std::abs(x[b]));
  }
  double worst = 0.0;
  for (std::size_t i = 0; i < g.n; ++i)
    if (unknown[i] != 0) worst = std::max(worst, std::abs(rest[i]) / through[i]);
  return worst;
}

}  // namespace

TEST_CASE("a second right-hand side uses the factor of the first solution", "[solver]") {
  // Chain 0 - 1 - 2 - 3 of conductances 1, 2, 4 with both ends given.
  const std::vector<NodePair> edges{{0, 1}, {1, 2}, {2, 3}};
  const std::vector<double> conductance{1.0, 2.0, 4.0}, nothing(4, 0.0);
  const std::vector<std::uint8_t> unknown{0, 1, 1, 0};
  SubsetSolver solver(4, edges);
  std::vector<double> x{7.0, 0.0, 0.0, 0.0};  // the drops are as 4 : 2 : 1
  REQUIRE(solver.solve(conductance, nothing, nothing, unknown, x).converged);
  CHECK(x[1] == Approx(3.0));
  CHECK(x[2] == Approx(1.0));
  std::vector<double> y{0.0, 0.0, 0.0, 14.0};
  REQUIRE(solver.solve_again(conductance, nothing, y).converged);
  CHECK(y[1] == Approx(8.0));
  CHECK(y[2] == Approx(12.0));
  const std::vector<double> source{0.0, 7.0, 0.0, 0.0};
  std::vector<double> z(4, 0.0);
  REQUIRE(solver.solve_again(conductance, source, z).converged);
  CHECK(z[1] == Approx(3.0));  // 7 through 1 beside 4/3
  CHECK(z[2] == Approx(1.0));
}

TEST_CASE("every unknown of any subset of a network keeps its balance to rounding", "[solver]") {
  const Grid g = random_grid(60, 45);  // more columns than stay on one thread
  SubsetSolver solver(g.n, g.edges);
  for (const std::size_t beyond : {g.n, std::size_t{1400}, std::size_t{90}, std::size_t{1}}) {
    const auto unknown = subset(g, beyond);
    CHECK(worst_balance(g, unknown, solved(solver, g, unknown)) < 1e-12);
  }
}

TEST_CASE("a solution does not depend on what was solved before", "[solver]") {
  const Grid g = random_grid(30, 20);
  SubsetSolver fresh(g.n, g.edges), used(g.n, g.edges);
  for (const std::size_t beyond : {std::size_t{600}, std::size_t{100}, std::size_t{0}})
    solved(used, g, subset(g, beyond));
  const auto unknown = subset(g, 350);
  CHECK(solved(used, g, unknown) == solved(fresh, g, unknown));
}

TEST_CASE("a network that nothing holds is singular", "[solver]") {
  const std::vector<NodePair> edges{{0, 1}};
  const std::vector<double> conductance{0.0}, nothing(2, 0.0);
  const std::vector<std::uint8_t> unknown{1, 1};
  SubsetSolver solver(2, edges);
  std::vector<double> x(2, 0.0);
  CHECK_FALSE(solver.solve(conductance, nothing, nothing, unknown, x).converged);
}
