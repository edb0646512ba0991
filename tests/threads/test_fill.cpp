// A whole shot with heat, press and air: every loop of the solver that is shared among threads.
#include <catch2/catch.hpp>

#include "solver/whole/run_case.hpp"
#include "tests/threads/with_threads.hpp"
#include "tests/verify/sample_models.hpp"

namespace firstshot::test {
namespace {

constexpr double mm = 1e-3, cm3 = 1e-6;
/// General-purpose polystyrene; Flaman 1990, Zoetelief et al. 1996, from memory, unconfirmed.
const CrossWlf gpps{0.252, 3.08e4, 4.76e10, 373.15, 0.0, 25.74, 61.06};

/// Large enough for every loop: more nodes than a small loop has, and wide, so that threads meet in
/// the heat sweep.
Setup wide_strip() {
  constexpr int along = 38, across = 64;
  Setup s = sample::isothermal_fill(sample::strip(38 * mm, 64 * mm, 1 * mm, along, across, false),
                                    gpps, 10 * cm3, 8);
  s.isothermal = false;
  s.material.no_flow_temperature = 400.0;
  s.process.barrel_compressible = true;
  s.accuracy.layers = 6;
  s.air.enabled = true;
  return s;
}

}  // namespace

TEST_CASE("filling, holding and cooling have the same bits with 1, 2 and 8 threads", "[threads]") {
  const Setup setup = wide_strip();
  REQUIRE(setup.model.mesh.points.size() > small_loop);
  const Result one = with_threads(1, [&] { return run_case(setup); });
  INFO(one.cause);
  REQUIRE(one.outcome == Outcome::filled);
  REQUIRE(one.state.hold.mode == HoldMode::done);
  REQUIRE(one.cycle);
  for (const int threads : {2, 8}) {
    const Result more = with_threads(threads, [&] { return run_case(setup); });
    CHECK(more.state == one.state);
    CHECK(more.peak_pressure == one.peak_pressure);
    CHECK(more.mass_error == one.mass_error);
    CHECK(more.cycle->total.value == one.cycle->total.value);
  }
}

}  // namespace firstshot::test
