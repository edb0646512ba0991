// Causes of short shots, told apart on a plate of two triangles fed by one gate.
#include <catch2/catch.hpp>

#include "solver/assess/short_shots.hpp"

namespace firstshot {
namespace {

constexpr int layers = 4;
constexpr double hot = 500.0, cold = 320.0;

/// Node 0 begins the gate, node 1 is its mouth and the side x = 0, nodes 2 and 3 lie at x = 20 mm.
Setup plate() {
  Setup s;
  Model& m = s.model;
  m.mesh.points =
      VertexField<Point>(std::vector<Point>{{0, 0}, {0.02, 0}, {0.02, 0.01}, {0, 0.01}});
  const auto v = [](int i) { return static_cast<VertexId>(i); };
  m.mesh.triangles =
      TriField<Triangle>(std::vector<Triangle>{{v(0), v(1), v(2)}, {v(0), v(2), v(3)}});
  m.mesh.region = TriField<std::int32_t>(2, 0);
  m.thickness = TriField<double>(2, 1e-3);
  m.regions = {{"plate", Role::part, true}};
  m.channels = {{"g", Role::gate, 0}};
  m.node_of_vertex =
      VertexField<NodeId>(std::vector<NodeId>{NodeId{1}, NodeId{2}, NodeId{3}, NodeId{1}});
  m.position = NodeField<Point3>(
      std::vector<Point3>{{-0.002, 0, 0}, {0, 0.005, 0}, {0.02, 0, 0}, {0.02, 0.01, 0}});
  LineElement e;
  e.from = NodeId{0};
  e.to = NodeId{1};
  e.length = 0.002;
  e.start = e.end = RoundSection{1e-3};
  m.lines = LineField<LineElement>(std::vector<LineElement>{e});
  s.accuracy.layers = layers;
  s.material.no_flow_temperature = 400.0;
  return s;
}

/// The mouth is full under 20 MPa, the far side is empty.
State half_full() {
  State s;
  s.fill = NodeField<double>(std::vector<double>{1, 1, 0, 0});
  s.pressure = NodeField<double>(std::vector<double>{30e6, 20e6, 0, 0});
  s.arrival = NodeField<double>(std::vector<double>{0.1, 0.2, -1, -1});
  s.full = s.arrival;
  s.shear_rate = NodeField<double>(4, 0.0);
  s.temperature.assign(4 * layers, hot);
  s.injection_pressure = 50e6;
  return s;
}

/// @param history pressure at the injection point by time; no limit is near without one
ShortShot of(const Setup& setup, const State& state, Outcome outcome, double filled = 0.5,
             const std::vector<HistoryEntry>& history = {}) {
  const std::vector<UnfilledRegion> regions{{0, 2e-7, filled}};
  const std::vector<ShortShot> all = short_shots(setup, state, history, outcome, regions);
  REQUIRE(all.size() == 1);
  return all[0];
}

void freeze(State& s, std::size_t node) {
  for (std::size_t c = 0; c < layers; ++c) s.temperature[node * layers + c] = cold;
}

}  // namespace

TEST_CASE("hot melt that stands still lacks pressure, and how much is said", "[solver][short]") {
  const ShortShot s = of(plate(), half_full(), Outcome::pressure_limit);
  CHECK(s.part == "plate");
  CHECK(s.cause == ShortCause::pressure);
  CHECK(s.unfilled == Approx(1e-7));
  CHECK(s.pressure_needed.value() == Approx(70e6));  // 50 + 20 (1/0.5 - 1)
  CHECK_FALSE(s.speed_needed);
  CHECK(s.at.x == Approx(0.02));
  CHECK_FALSE(of(plate(), half_full(), Outcome::pressure_limit, 0.05).pressure_needed);
}

TEST_CASE("gas nearly as high as the melt beside it is the cause", "[solver][short][air]") {
  State state = half_full();
  state.air.pocket = NodeField<double>(std::vector<double>{-1, -1, 0, 0});
  state.air.gas_pressure = NodeField<double>(std::vector<double>{0, 0, 9e6, 9e6});
  CHECK(of(plate(), state, Outcome::pressure_limit).cause == ShortCause::pressure);
  state.air.gas_pressure = NodeField<double>(std::vector<double>{0, 0, 19e6, 19e6});
  CHECK(of(plate(), state, Outcome::pressure_limit).cause == ShortCause::air);
}

TEST_CASE("a frozen gate and a frozen front are told apart", "[solver][short]") {
  State state = half_full();
  freeze(state, 0);
  const ShortShot gate = of(plate(), state, Outcome::frozen);
  CHECK(gate.cause == ShortCause::gate_frozen);
  CHECK(gate.speed_needed.value() == Approx(2.0));
  // The same front without a gate.
  state = half_full();
  freeze(state, 1);
  Setup open = plate();
  open.model.channels[0].role = Role::runner;
  CHECK(of(open, state, Outcome::frozen).cause == ShortCause::freezing);
}

TEST_CASE("a limit is the cause of a frozen front only if it acted before the front froze",
          "[solver][short]") {
  Setup setup = plate();
  setup.model.channels[0].role = Role::runner;
  setup.process.injection_pressure_max = 50e6;
  State state = half_full();
  state.peak_pressure = 50e6;
  freeze(state, 1);
  state.hold.freeze = NodeField<double>(std::vector<double>{-1, 0.6, -1, -1});
  const auto cause = [&](double at_limit, double filled) {
    const std::vector<HistoryEntry> history{{0.1, 0.1, 1e-6, 20e6, 0.0},
                                            {at_limit, 0.5, 1e-6, 49.99e6, 0.0}};
    return of(setup, state, Outcome::frozen, filled, history).cause;
  };
  // A press at its limit cannot inject faster.
  CHECK(cause(0.5, 0.5) == ShortCause::pressure);
  // What froze first drove the pressure up afterwards.
  CHECK(cause(0.7, 0.5) == ShortCause::freezing);
  const std::vector<HistoryEntry> below{{0.5, 0.5, 1e-6, 49e6, 0.0}};
  CHECK(of(setup, state, Outcome::frozen, 0.5, below).cause == ShortCause::freezing);
  setup.process.constant_pressure = 50e6;
  CHECK(of(setup, state, Outcome::frozen).cause == ShortCause::pressure);
  // Melt that never came to the part: the front in the runner counts.
  setup.process.constant_pressure = 0.0;
  state.fill = NodeField<double>(std::vector<double>{1, 0, 0, 0});
  state.hold.freeze = NodeField<double>(std::vector<double>{0.6, -1, -1, -1});
  CHECK(cause(0.5, 0.0) == ShortCause::pressure);
  CHECK(cause(0.7, 0.0) == ShortCause::freezing);
}

TEST_CASE("a run that ended otherwise says so", "[solver][short]") {
  CHECK(of(plate(), half_full(), Outcome::interrupted).cause == ShortCause::interrupted);
  CHECK(of(plate(), half_full(), Outcome::time_limit).cause == ShortCause::time);
}

}  // namespace firstshot
