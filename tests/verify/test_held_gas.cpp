// Voids: what caught air leaves behind when holding ends.
#include <numeric>

#include <catch2/catch.hpp>

#include "solver/flow/air_gas.hpp"
#include "solver/stage/hold.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3, MPa = 1e6, um = 1e-6;
constexpr double length = 40 * mm, strip_width = 8 * mm, gap = 1 * mm,
                 cavity = length * strip_width * gap;
constexpr double wall = 313.15;

/// A blind strip that fills against its air under `filling` and is then held under `holding` for a
/// second.
Setup blind_strip(double filling, double holding) {
  Setup s = sample::isothermal_fill(sample::strip(length, strip_width, gap, 40, 4),
                                    Newtonian{20.0, 0.0, 493.15}, 1e-6, 60);
  s.air.enabled = true;
  s.air.parting_line_gap = 0.0;
  s.process.injection_pressure_max = filling;
  s.process.holding = {{holding, 1.0}};
  s.process.time_limit = 20.0;
  s.press.speed_max = 1e3;
  return s;
}

double sum(const NodeField<double>& field) {
  return std::accumulate(field.vector().begin(), field.vector().end(), 0.0);
}

/// Void left under the holding pressure, just before the press lets go, over the cavity.
double void_share(double filling, double holding) {
  const Setup setup = blind_strip(filling, holding);
  double hollow = -1.0;
  run_case(setup, [&](const Snapshot& s) {
    if (s.state.hold.mode == HoldMode::pressing) hollow = sum(s.state.hold.hollow) / cavity;
    return s.state.hold.mode != HoldMode::released;
  });
  return hollow;
}

}  // namespace

TEST_CASE("caught air under holding pressure takes the room of the gas law",
          "[verify][air][analytic]") {
  // p V = m R T with all the cavity's air at the walls' temperature: V / V0 = p0 / (p0 + P).
  const auto exact = [](double P) { return air::room_pressure / (air::room_pressure + P); };
  CHECK(void_share(10 * MPa, 10 * MPa) == Approx(exact(10 * MPa)).epsilon(1e-3));
  CHECK(void_share(10 * MPa, 30 * MPa) == Approx(exact(30 * MPa)).epsilon(1e-3));
  CHECK(void_share(10 * MPa, 2 * MPa) == Approx(exact(2 * MPa)).epsilon(1e-3));
}

TEST_CASE("a void keeps the size at which the melt around it froze", "[verify][air][analytic]") {
  Setup setup = blind_strip(10 * MPa, 10 * MPa);
  setup.isothermal = false;
  setup.material.viscosity = Newtonian{1.0, 0.0, 493.15};
  setup.material.no_flow_temperature = 400.0;
  setup.process.holding = {{10 * MPa, 8.0}};
  setup.accuracy.layers = 10;
  double under_pressure = 0.0, last = 0.0;  // of the void; pressure beside it while melt flowed
  const Result r = run_case(setup, [&](const Snapshot& s) {
    const std::size_t end = s.state.pressure.size() - 1;
    if (s.state.hold.mode == HoldMode::pressing) under_pressure = sum(s.state.hold.hollow);
    if (s.state.hold.freeze.vector()[end] < 0.0) last = s.state.pressure.vector()[end];
    return true;
  });
  REQUIRE(r.hold.held);
  CHECK(r.outcome == Outcome::air);
  REQUIRE(r.air_pockets.size() == 1);
  const AirPocketResult& pocket = r.air_pockets[0];
  CHECK(pocket.hollow == Approx(under_pressure).epsilon(1e-6));  // letting go changes nothing
  // The inlet, which has cooled for longer, froze first, and the pressure fell a little.
  const auto exact = [](double P) {
    return cavity * air::room_pressure / (air::room_pressure + P);
  };
  CHECK(last < 9.9 * MPa);
  CHECK(pocket.hollow == Approx(exact(last)).epsilon(0.02));  // some of it one step before
  CHECK(pocket.hollow > exact(10 * MPa));
  CHECK(pocket.trapped);
  CHECK(r.hold.mass_error < 1e-9);
  // What is there is the cavity's melt less the void: shrinkage of solid is some per cent.
  CHECK(r.hold.volume_max < 0.1);
  const double gas = air::room_pressure * cavity / (air::gas_constant * wall);
  CHECK(sum(r.state.hold.gas) == Approx(gas).epsilon(1e-9));
}

TEST_CASE("air that leaks while the melt is held leaves a smaller void", "[verify][air]") {
  Setup tight = blind_strip(10 * MPa, 10 * MPa);
  const auto left = [](const Setup& setup, double& escaped) {
    double hollow = 0.0;
    const Result r = run_case(setup, [&](const Snapshot& s) {
      if (s.state.hold.mode == HoldMode::pressing) hollow = sum(s.state.hold.hollow);
      return true;
    });
    escaped = r.state.air.escaped;
    const double all = sum(r.state.hold.gas) + escaped + r.state.air.carried;
    CHECK(all == Approx(air::room_pressure * cavity / (air::gas_constant * wall)).epsilon(1e-9));
    return hollow;
  };
  double none = 0.0, some = 0.0;
  const double whole = left(tight, none);
  tight.air.vents = {{{{length, 0.5 * strip_width}}, 1 * mm, 1 * um, 3 * mm, ""}};
  std::erase_if(tight.model.open_sides, [&](const std::array<VertexId, 2>& side) {
    return tight.model.mesh.points[side[0]].x > 0.0 || tight.model.mesh.points[side[1]].x > 0.0;
  });
  const double leaky = left(tight, some);
  CHECK(none == 0.0);
  CHECK(some > 0.0);
  CHECK(leaky < 0.99 * whole);
}
