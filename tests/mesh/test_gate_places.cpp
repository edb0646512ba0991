#include <catch2/catch.hpp>

#include "mesh/gate_places.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3;

PolygonShape box(double x0, double y0, double x1, double y1) {
  return {{{{x0 * mm, y0 * mm}, 0.0},
           {{x1 * mm, y0 * mm}, 0.0},
           {{x1 * mm, y1 * mm}, 0.0},
           {{x0 * mm, y1 * mm}, 0.0}}};
}

/// A plate above a straight runner, with a gate at its left end.
Layout plate_and_runner() {
  Layout layout;
  Area plate;
  plate.name = "plate";
  plate.outline = box(0, 3, 40, 13);
  plate.thickness = 1.2 * mm;
  layout.areas.push_back(plate);
  layout.runners.push_back(
      {"runner", {{0, 0}, {40 * mm, 0}}, RoundSection{4 * mm}, RoundSection{4 * mm}, ""});
  layout.gates.push_back({"g", {5 * mm, 0}, {5 * mm, 3 * mm}, 1 * mm, 0.6 * mm, ""});
  return layout;
}

}  // namespace

TEST_CASE("a further gate goes straight from the runner to the rim, clear of the one there",
          "[mesh][gates]") {
  const Layout layout = plate_and_runner();
  const auto places = gate_places(layout, layout.areas[0], 10 * mm, 1 * mm);
  REQUIRE(places.size() > 20);  // about one for each width of the lower side
  for (const GatePlace& p : places) {
    CHECK(p.length == Approx(3 * mm));
    CHECK(p.from.x == Approx(p.to.x));
    CHECK(p.to.y == Approx(3 * mm));
    CHECK(std::abs(p.to.x - 5 * mm) >= 2 * mm * (1 - 1e-9));
  }
  CHECK(gate_places(layout, layout.areas[0], 2.9 * mm, 1 * mm).empty());  // too far
}

TEST_CASE("no gate leads through another part", "[mesh][gates]") {
  Layout layout = plate_and_runner();
  Area bar;
  bar.name = "bar";
  bar.outline = box(20, 1, 40, 2);
  bar.thickness = 1 * mm;
  layout.areas.push_back(bar);
  const auto places = gate_places(layout, layout.areas[0], 10 * mm, 1 * mm);
  REQUIRE_FALSE(places.empty());
  for (const GatePlace& p : places) CHECK(p.to.x <= 20 * mm);
}

}  // namespace firstshot
