// Pieces of the factor that go to several threads.
#include <cmath>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/numeric/subset_solver.hpp"
#include "tests/threads/with_threads.hpp"

namespace firstshot::test {

TEST_CASE("a network has the same solution to the last bit with 1, 2 and 8 threads", "[threads]") {
  constexpr int wide = 70, high = 60;
  std::vector<NodePair> edges;
  for (int y = 0; y < high; ++y)
    for (int x = 0; x < wide; ++x) {
      const int i = y * wide + x;
      if (x + 1 < wide) edges.push_back({i, i + 1});
      if (y + 1 < high) edges.push_back({i, i + wide});
    }
  std::vector<double> conductance, nothing(wide * high, 0.0), right;
  for (std::size_t e = 0; e < edges.size(); ++e)
    conductance.push_back(1.5 + std::sin(3.0 * static_cast<double>(e)));
  std::vector<std::uint8_t> unknown(nothing.size(), 1);
  unknown[5] = unknown[777] = 0;
  for (std::size_t i = 0; i < nothing.size(); ++i)
    right.push_back(std::cos(static_cast<double>(i)));
  const auto solved = [&](int threads) {
    return with_threads(threads, [&] {
      SubsetSolver solver(nothing.size(), edges);
      std::vector<double> x(nothing.size(), 0.0);
      REQUIRE(solver.solve(conductance, nothing, right, unknown, x).converged);
      return x;
    });
  };
  const std::vector<double> one = solved(1);
  CHECK(solved(2) == one);
  CHECK(solved(8) == one);
}

}  // namespace firstshot::test
