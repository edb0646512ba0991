#include <cmath>

#include <catch2/catch.hpp>

#include "tools/bench/fills.hpp"
#include "tools/bench/references.hpp"

using namespace firstshot::bench;

TEST_CASE("the reference system is solved to rounding on a grid of at least the nodes asked for",
          "[bench]") {
  const DirectSolution direct = direct_solution(1000, 1);
  CHECK(direct.nodes == 32 * 32);
  CHECK(direct.residual < 1e-12);
}

TEST_CASE("the references fill five rows", "[bench]") {
  CHECK(measure_references(400, 1000, 2).rows.size() == 5);
}

TEST_CASE("the exponent of a power is found", "[bench]") {
  CHECK(exponent({1e3, 1e4, 1e5}, {2.0, 2.0 * std::pow(10.0, 1.2), 2.0 * std::pow(10.0, 2.4)}) ==
        Approx(1.2));
}
