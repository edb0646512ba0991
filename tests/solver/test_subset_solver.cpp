// The network solver on a small chain whose solution is known.
#include <vector>

#include <catch2/catch.hpp>

#include "solver/numeric/subset_solver.hpp"

using namespace firstshot;

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
