#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "mesh/outline.hpp"
#include "mesh/section.hpp"

using namespace firstshot;

namespace {
constexpr double pi = std::numbers::pi;
}

TEST_CASE("area and perimeter of every section agree with the textbook", "[mesh][analytic]") {
  CHECK(area(RoundSection{4e-3}) == Approx(pi * 4e-6));
  CHECK(perimeter(RoundSection{4e-3}) == Approx(pi * 4e-3));
  CHECK(area(HalfRoundSection{4e-3}) == Approx(pi * 2e-6));
  CHECK(perimeter(HalfRoundSection{4e-3}) == Approx((pi / 2 + 1) * 4e-3));
  CHECK(area(RectangleSection{3e-3, 2e-3}) == Approx(6e-6));
  CHECK(perimeter(RectangleSection{3e-3, 2e-3}) == Approx(10e-3));
  // 45° sides: 4 mm wide and 1 mm deep leaves 2 mm at the bottom, sides of √2 mm.
  CHECK(area(TrapezoidSection{4e-3, 1e-3, 45.0}) == Approx(3e-6));
  CHECK(perimeter(TrapezoidSection{4e-3, 1e-3, 45.0}) == Approx((6 + 2 * std::sqrt(2.0)) * 1e-3));
}

TEST_CASE("hydraulic diameter of a circle is its diameter, of a square its side",
          "[mesh][analytic]") {
  CHECK(hydraulic_diameter(RoundSection{4e-3}) == Approx(4e-3));
  CHECK(hydraulic_diameter(RectangleSection{2e-3, 2e-3}) == Approx(2e-3));
}

TEST_CASE("width lies in the parting plane and depth along the draw", "[mesh]") {
  CHECK(width(HalfRoundSection{4e-3}) == 4e-3);
  CHECK(depth(HalfRoundSection{4e-3}) == 2e-3);
  CHECK(width(TrapezoidSection{4e-3, 3e-3, 5.0}) == 4e-3);
  CHECK(depth(TrapezoidSection{4e-3, 3e-3, 5.0}) == 3e-3);
}

TEST_CASE("a trapezoid without draft is a rectangle", "[mesh][limit]") {
  CHECK(area(TrapezoidSection{4e-3, 3e-3, 0.0}) == Approx(area(RectangleSection{4e-3, 3e-3})));
  CHECK(perimeter(TrapezoidSection{4e-3, 3e-3, 0.0}) ==
        Approx(perimeter(RectangleSection{4e-3, 3e-3})));
}

TEST_CASE("mixing takes each measure linearly and keeps the ends", "[mesh]") {
  const Section a = TrapezoidSection{4e-3, 3e-3, 10.0};
  const Section b = TrapezoidSection{2e-3, 1e-3, 6.0};
  CHECK(mix(a, b, 0.0) == a);
  CHECK(mix(a, b, 1.0) == b);
  const auto middle = std::get<TrapezoidSection>(mix(a, b, 0.5));
  CHECK(middle.width == Approx(3e-3));
  CHECK(middle.depth == Approx(2e-3));
  CHECK(middle.draft_deg == Approx(8.0));
}

TEST_CASE("sections of different kinds cannot be mixed", "[mesh]") {
  CHECK_THROWS_AS(mix(RoundSection{1e-3}, RectangleSection{1e-3, 1e-3}, 0.5), Error);
}

TEST_CASE("the outline of a section is counter-clockwise and encloses its area",
          "[mesh][analytic]") {
  for (const Section section :
       {Section{RoundSection{4e-3}}, Section{HalfRoundSection{4e-3}},
        Section{TrapezoidSection{4e-3, 3e-3, 10.0}}, Section{RectangleSection{4e-3, 3e-3}}}) {
    const auto corners = outline(section, 400);
    // An inscribed polygon of n sides lacks (2π/n)²/6 of a circle: 4e-5 for 400.
    CHECK(signed_area(corners) == Approx(area(section)).epsilon(5e-5));
  }
  CHECK(outline(RoundSection{1e-3}, 64).size() == 64);
}
