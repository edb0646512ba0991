#include <catch2/catch.hpp>

#include "tools/bench/references.hpp"

using namespace firstshot::bench;

TEST_CASE("the reference system is solved to rounding on a grid of at least the nodes asked for",
          "[bench]") {
  const DirectSolution direct = direct_solution(1000, 1);
  CHECK(direct.nodes == 32 * 32);
  CHECK(direct.residual < 1e-12);
}

TEST_CASE("the references fill five rows", "[bench]") {
  CHECK(reference_rows(400, 1000, 2).size() == 5);
}
