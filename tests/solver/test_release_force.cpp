// What it takes to push a part off its cores, by hand, and what the verdict says of it and of the
// draft.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "solver/assess/frame_notes.hpp"
#include "solver/assess/release_force.hpp"
#include "solver/whole/verdict_cycle.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3, mm2 = 1e-6, MPa = 1e6, pi = std::numbers::pi;

const Finding* find(const std::vector<Finding>& list, const std::string& rule) {
  const auto it =
      std::find_if(list.begin(), list.end(), [&](const Finding& f) { return f.rule == rule; });
  return it == list.end() ? nullptr : &*it;
}

/// One part that holds on to 40 mm² of straight walls, cold but for 60 degC when the mould opens.
struct Window {
  Setup setup;
  Result result;
  Window() {
    setup.model.regions = {{"window", Role::part, false}};
    PartGrip grip;
    grip.part = "window";
    grip.grip = grip.walls[0] = 40 * mm2;
    grip.ring = 0.125;  // b = 3 a
    grip.nearest_pin = 1 * mm;
    result.ejection.parts = {grip};
    result.hold.held = true;
    PartShrinkage shrunk;
    shrunk.part = "window";
    // Glass from 100 degC without pressure to 23 degC, by the Tait law's own straight line.
    shrunk.linear = 1.0 - std::cbrt((9.72e-4 - 2.24e-7 * 77.0) / 9.72e-4);
    result.hold.parts = {shrunk};
    CycleResult c;
    CooledPiece piece;
    piece.name = "window";
    piece.mean_open_low = 328.15;
    piece.mean_open_high = 338.15;
    c.parts = {piece};
    c.barrel.stroke_share = 0.5;
    result.cycle = c;
  }
  const ReleaseForce& released() {
    add_release_forces(setup, result.hold, *result.cycle, result.ejection);
    REQUIRE(result.ejection.parts[0].release);
    return *result.ejection.parts[0].release;
  }
  std::vector<Finding> findings() const { return cycle_findings(setup, result); }
};

}  // namespace

TEST_CASE("a part pulls on its core by what it shrank since it was glass", "[solver][cycle]") {
  Window w;
  const ReleaseForce& f = w.released();
  const double strain = 1.0 - std::cbrt((9.72e-4 - 2.24e-7 * 40.0) / 9.72e-4);
  CHECK(strain == Approx(0.00308).epsilon(2e-3));
  CHECK(f.strain == Approx(strain).epsilon(1e-3));
  // Thick ring, b = 3 a: E ε / (10/8 + 0.38) on 40 mm², friction 0.4.
  CHECK(f.force == Approx(1500.0 * strain / (1.25 + 0.38) * 40.0 * 0.4).epsilon(2e-3));
  CHECK(f.force_low == Approx(0.25 * f.force));
  CHECK(f.force_high == Approx(2.25 * f.force));
  CHECK(f.pins_push == 0.0);
  // What turned to glass under pressure has shrunk less, and may not pull at all.
  w.result.hold.parts[0].linear = 0.0;
  CHECK(w.released().strain < 0.0);
  CHECK(w.released().force == 0.0);
  // Hotter than the glass: nothing has shrunk yet.
  w.result.hold.parts[0].linear = 1.0 - std::cbrt((9.72e-4 - 2.24e-7 * 77.0) / 9.72e-4);
  w.result.cycle->parts[0].mean_open_low = w.result.cycle->parts[0].mean_open_high = 420.0;
  CHECK(w.released().strain == Approx(0.0).margin(1e-6));
}

TEST_CASE("a thick ring around a core presses as Lamé's solution says", "[solver][cycle]") {
  // u(r) = A r + B/r; u(a) = ε a, no stress at b; plane stress. Solved here for A and B.
  constexpr double E = 2e9, nu = 0.38, a = 2.0, b = 5.0, strain = 1e-3;
  // σ_r = E/(1-ν²) ((1+ν) A - (1-ν) B/r²), zero at b: A = B (1-ν)/((1+ν) b²).
  const double share = (1.0 - nu) / ((1.0 + nu) * b * b);
  const double B = strain * a / (share * a + 1.0 / a), A = share * B;
  const double pressure = -E / (1.0 - nu * nu) * ((1.0 + nu) * A - (1.0 - nu) * B / (a * a));
  CHECK(grip_stiffness(E, a * a / (b * b - a * a)) * strain == Approx(pressure).epsilon(1e-12));
}

TEST_CASE("walls with more draft than friction let go by themselves", "[solver][cycle]") {
  CHECK(slide_share(0.4, 0.0) == Approx(0.4));
  CHECK(slide_share(0.4, 5.0) == Approx(0.4 * std::cos(5 * pi / 180) - std::sin(5 * pi / 180)));
  CHECK(slide_share(0.4, 21.7) > 0.0);
  CHECK(slide_share(0.4, 21.9) == 0.0);  // atan 0.4 = 21.80 deg
}

TEST_CASE("a pin dents a thick wall and punches through a thin one", "[solver][cycle]") {
  CHECK(pin_push(15 * MPa, 3 * mm, 3 * mm) == Approx(15.0 * pi / 4.0 * 9.0));
  CHECK(pin_push(15 * MPa, 3 * mm, 1 * mm) == Approx(15.0 / std::sqrt(3.0) * pi * 3.0));
}

TEST_CASE("pins and gates together must push more than a part holds on with", "[solver][verdict]") {
  Window w;
  w.released();
  // No pin in the case, no gate: a note, since pins may not have been drawn yet.
  REQUIRE(find(w.findings(), "ejector_push") != nullptr);
  CHECK(find(w.findings(), "ejector_push")->severity == Severity::note);
  // A pin of 1 mm on it: 8 N by the shear of a 1 mm wall or 11.8 N by denting; 45 N are needed.
  PinPlace pin;
  pin.name = "p";
  pin.diameter = 1 * mm;
  pin.wall = 3 * mm;
  pin.stands_on = "window";
  w.result.ejection.pins = {pin};
  CHECK(w.released().pins_push == Approx(15.0 * pi / 4.0));
  const auto list = w.findings();
  REQUIRE(find(list, "ejector_push") != nullptr);
  CHECK(find(list, "ejector_push")->severity == Severity::look);
  CHECK(find(list, "ejector_push")->part == "window");
  CHECK_THAT(find(list, "ejector_push")->text, Catch::Contains("window most, with about 45 N"));
  // Four of 2 mm push 188 N.
  w.result.ejection.pins.assign(4, pin);
  for (PinPlace& p : w.result.ejection.pins) p.diameter = 2 * mm;
  w.released();
  CHECK(find(w.findings(), "ejector_push") == nullptr);
  // So does a gate with a section of 6 mm²: 52 N in shear.
  w.result.ejection.pins = {pin};
  w.setup.model.channels = {{"gate", Role::gate, 0}};
  LineElement gate;
  gate.start = RectangleSection{3 * mm, 2 * mm};
  gate.end = RectangleSection{4 * mm, 2 * mm};
  w.setup.model.lines.push_back(gate);
  CHECK(w.released().gates_carry == Approx(15.0 / std::sqrt(3.0) * 6.0));
  CHECK(find(w.findings(), "ejector_push") == nullptr);
}

TEST_CASE("draft below the limit is found, in check and after a run", "[solver][verdict]") {
  Window w;
  SideWalls steep, good;
  steep.part = "mast";
  steep.least_draft = 0.2;
  steep.core[0] = 5 * mm2;
  steep.outer[0] = 15 * mm2;
  good.part = "deck";
  good.least_draft = 1.5;
  w.setup.walls = {good};
  CHECK(find(w.findings(), "draft") == nullptr);
  w.setup.walls = {good, steep};
  REQUIRE(find(w.findings(), "draft") != nullptr);
  const Finding f = *find(w.findings(), "draft");
  CHECK(f.part == "mast");
  CHECK(f.severity == Severity::look);
  CHECK(*f.value == Approx(0.2));
  CHECK(*f.limit == 1.0);
  CHECK(*f.margin < 0.0);
  CHECK_THAT(f.text, Catch::Contains("1 part has side walls") && Catch::Contains("20 mm2"));
  w.setup.limits.draft = 0.2;
  CHECK(find(w.findings(), "draft") == nullptr);
  w.setup.limits.draft = 2.0;
  CHECK_THAT(find(w.findings(), "draft")->text, Catch::Contains("2 parts have side walls"));
  bool noted = false;
  for (const FrameNote& n : frame_notes(w.setup, FrameFigures{})) noted |= n.rule == "draft";
  CHECK(noted);
}

}  // namespace firstshot
