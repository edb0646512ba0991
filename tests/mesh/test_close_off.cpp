// Plugged gates and blocked cavities.
#include <catch2/catch.hpp>

#include "mesh/build_model.hpp"
#include "mesh/close_off.hpp"
#include "mesh/error.hpp"

using namespace firstshot;

namespace {

Area plate(const char* name, double x) {
  Area area;
  area.name = name;
  area.outline = RectangleShape{{x, 0.0}, 10e-3, 10e-3, 0.0, 0.0};
  area.thickness = 1e-3;
  return area;
}
GateLine gate(const char* name, double from, double to) {
  return {name, {from, 0.0}, {to, 0.0}, 1e-3, 0.6e-3, {}};
}

/// A runner of 20 mm between two plates; the right one has a second plate behind it.
Layout two_plates() {
  Layout l;
  l.areas = {plate("left", -16e-3), plate("right", 16e-3)};
  RunnerLine runner;
  runner.name = "spine";
  runner.points = {{-10e-3, 0.0}, {10e-3, 0.0}};
  runner.start = runner.end = RoundSection{3e-3};
  l.runners = {runner};
  l.gates = {gate("g-left", -10e-3, -11e-3), gate("g-right", 10e-3, 11e-3)};
  l.sprue = Sprue{{0.0, 0.0}, 20e-3, 2e-3, 3e-3, {}};
  l.vents = {{{{21e-3, 0.0}}, 3e-3, 20e-6, 1e-3, {}}, {{{-21e-3, 0.0}}, 3e-3, 20e-6, 1e-3, {}}};
  l.ejectors = {{"on right", {16e-3, 1e-3}, 2e-3, 10e-6, 5e-3, {}}};
  return l;
}

}  // namespace

TEST_CASE("a plugged gate takes the part with it that has no other", "[mesh]") {
  const ClosedFrame c = close_off(two_plates(), {{"g-right"}, {}});
  CHECK(c.gates == std::vector<std::string>{"g-right"});
  CHECK(c.parts == std::vector<std::string>{"right"});
  REQUIRE(c.layout.areas.size() == 1);
  CHECK(c.layout.areas[0].name == "left");
  CHECK(c.layout.runners.size() == 1);
  REQUIRE(c.layout.vents.size() == 1);
  CHECK(c.layout.vents[0].at[0].x < 0.0);
  CHECK(c.layout.ejectors.empty());
  CHECK(build_model(c.layout, {}).regions.size() == 1);
}

TEST_CASE("a part with two gates goes on with one", "[mesh]") {
  Layout l = two_plates();
  l.gates.push_back({"g-right-2", {10e-3, 0.0}, {11e-3, 3e-3}, 1e-3, 0.6e-3, {}});
  const ClosedFrame c = close_off(l, {{"g-right"}, {}});
  CHECK(c.parts.empty());
  CHECK(c.layout.areas.size() == 2);
  CHECK(c.layout.gates.size() == 2);
}

TEST_CASE("a blocked part loses its gates", "[mesh]") {
  const ClosedFrame c = close_off(two_plates(), {{}, {"left"}});
  CHECK(c.gates == std::vector<std::string>{"g-left"});
  CHECK(c.layout.ejectors.size() == 1);
}

TEST_CASE("names that are not there and an empty frame are refused", "[mesh]") {
  CHECK_THROWS_WITH(close_off(two_plates(), {{"g-none"}, {}}),
                    Catch::Contains("\"g-none\"") && Catch::Contains("known: g-left"));
  CHECK_THROWS_AS(close_off(two_plates(), {{}, {"none"}}), Error);
  CHECK_THROWS_AS(close_off(two_plates(), {{"g-left"}, {"right"}}), Error);
}
