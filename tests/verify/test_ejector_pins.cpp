// Air that leaves through the gap around an ejector pin, against closed forms.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "solver/flow/air_gas.hpp"
#include "solver/flow/air_outlets.hpp"
#include "solver/flow/air_vent.hpp"
#include "solver/flow/pin_gaps.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3, cm3 = 1e-6, um = 1e-6;
constexpr double length = 100 * mm, width_of_strip = 10 * mm, gap = 1 * mm;
constexpr double wall = 313.15;

double total(const std::vector<PinArc>& arcs) {
  double sum = 0.0;
  for (const PinArc& arc : arcs) sum += arc.length;
  return sum;
}

EjectorPin pin(double x, double y, double diameter) {
  return {"p", {x, y}, diameter, 15 * um, 3 * mm, ""};
}

/// Strip whose air has no way out but the pin's gap.
Setup strip_with(const EjectorPin& ejector) {
  Setup s = sample::isothermal_fill(sample::strip(length, width_of_strip, gap, 100, 10),
                                    Newtonian{50.0, 0.0, 493.15}, 2 * cm3, 200);
  s.air.enabled = true;
  s.air.parting_line_gap = 0.0;
  s.ejectors = {ejector};
  return s;
}

}  // namespace

TEST_CASE("the rim of a pin lies on the frame as far as there is melt", "[verify][air]") {
  const Model strip = sample::strip(length, width_of_strip, gap, 100, 10);
  const double rim = std::numbers::pi * 4 * mm;
  CHECK(total(pin_arcs(strip, pin(50.3 * mm, 5.1 * mm, 4 * mm))) == Approx(rim).epsilon(1e-12));
  CHECK(total(pin_arcs(strip, pin(length, 5 * mm, 4 * mm))) == Approx(0.5 * rim).epsilon(0.02));
  CHECK_THROWS_AS(pin_arcs(strip, pin(length + 3 * mm, 5 * mm, 4 * mm)), GeometryError);
  // Wider than the runner it stands on: what lies beside is metal on metal. 4 r asin(w/2r).
  const Model runner = sample::channel(RoundSection{3 * mm}, 60 * mm, 30);
  const Point3 at = runner.position[make_id<NodeId>(15)];
  const double on = 8 * mm * std::asin(3.0 / 4.0);
  CHECK(total(pin_arcs(runner, pin(at.x, at.y, 4 * mm))) == Approx(on).epsilon(0.05));
  for (const PinArc& arc : pin_arcs(runner, pin(at.x, at.y, 4 * mm)))
    CHECK(std::abs(runner.position[make_id<NodeId>(arc.node)].x - at.x) < 2.5 * mm);
}

TEST_CASE("air squeezed steadily through the gap around a pin has the closed form's pressure",
          "[verify][air][analytic]") {
  // Laminar slit as long as the rim of the pin: p = [Q + √(Q² + 4 Kv² p0²)]/(2 Kv) until melt gets
  // to the pin; see air_vent.hpp.
  const Setup setup = strip_with(pin(96 * mm, 5 * mm, 4 * mm));
  const double Kv =
      air::slit_factor({std::numbers::pi * 4 * mm, 15 * um, 3 * mm}) / air::viscosity(wall);
  const double exact = air::squeeze_pressure(2 * cm3, Kv, air::room_pressure);
  CHECK(exact > 1.3 * air::room_pressure);
  int count = 0;
  run_case(setup, [&](const Snapshot& s) {
    const double share = s.state.injected / (length * width_of_strip * gap);
    if (share < 0.87 || share > 0.92) return share < 0.92;
    CHECK(s.state.air.pockets.pressure[0] + air::room_pressure == Approx(exact).epsilon(3e-3));
    ++count;
    return true;
  });
  CHECK(count > 5);
}

TEST_CASE("a pin that melt covers lets no more air out", "[verify][air]") {
  const Setup setup = strip_with(pin(40 * mm, 5 * mm, 4 * mm));
  double covered = -1.0, last = 0.0;
  run_case(setup, [&](const Snapshot& s) {
    const double share = s.state.injected / (length * width_of_strip * gap);
    if (share > 0.45 && covered < 0.0) covered = s.state.air.escaped;
    last = s.state.air.escaped;
    return share < 0.8;
  });
  CHECK(covered > 0.0);
  CHECK(last == covered);
}

TEST_CASE("hot air leaves its mark around a pin too", "[verify][air]") {
  const Setup setup = strip_with(pin(90 * mm, 5 * mm, 4 * mm));
  const Result r = run_case(setup);
  double marked = 0.0, booked = 0.0;
  const std::vector<double> shut_off = shut_off_length(setup);
  const NodeFields fields = node_fields(setup, r.state);
  for (std::size_t i = 0; i < shut_off.size(); ++i) {
    marked += fields.exit_energy.vector()[i] * shut_off[i];
    booked += r.state.air.exit_energy.vector()[i];
  }
  CHECK(booked > 0.0);
  CHECK(marked == Approx(booked).epsilon(1e-12));
}
