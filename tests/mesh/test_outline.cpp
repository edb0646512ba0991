#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/outline.hpp"
#include "mesh/plane.hpp"

using namespace firstshot;

namespace {

constexpr double pi = std::numbers::pi;
constexpr double mm = 1e-3;
const ArcRule rule = {0.02 * mm, 1 * mm};

}  // namespace

TEST_CASE("a circle's polygon encloses exactly the circle's area", "[mesh][analytic]") {
  const auto line = closed_line(CircleShape{{3 * mm, -2 * mm}, 8 * mm}, rule);
  CHECK(signed_area(line.points) == Approx(pi * 16e-6).epsilon(1e-12));
  for (std::size_t i = 0; i < line.points.size(); ++i) {
    const Point a = line.points[i];
    const Point b = line.points[(i + 1) % line.points.size()];
    CHECK(std::abs(distance(a, {3 * mm, -2 * mm}) - 4 * mm) <= rule.deviation);
    CHECK(std::abs(distance(between(a, b, 0.5), {3 * mm, -2 * mm}) - 4 * mm) <=
          rule.deviation * 1.01);
    CHECK(distance(a, b) <= rule.longest_side * 1.01);
  }
}

TEST_CASE("a tiny circle keeps twelve sides", "[mesh][limit]") {
  CHECK(closed_line(CircleShape{{0, 0}, 0.05 * mm}, rule).points.size() == 12);
}

TEST_CASE("a bulge bends a side to the right of the direction of travel", "[mesh][analytic]") {
  // Lower side of a square, bent outwards by half a circle: bulge 1 = tan(180°/4).
  PolygonShape shape{{{{0, 0}, 1.0}, {{10 * mm, 0}}, {{10 * mm, 10 * mm}}, {{0, 10 * mm}}}};
  const auto out = closed_line(shape, rule);
  CHECK(signed_area(out.points) == Approx(100e-6 + pi / 2 * 25e-6).epsilon(1e-12));
  shape.corners[0].bulge = -1.0;
  CHECK(signed_area(closed_line(shape, rule).points) ==
        Approx(100e-6 - pi / 2 * 25e-6).epsilon(1e-12));
}

TEST_CASE("a shallow arc and one of three quarters keep their area", "[mesh][analytic]") {
  for (const double angle : {0.05, 0.7, 1.5 * pi}) {
    // One arc closed by its chord: a segment of the circle.
    const PolygonShape shape{{{{0, 0}, std::tan(angle / 4)}, {{10 * mm, 0}, 0.0}}};
    const double radius = 5 * mm / std::sin(angle / 2);
    CHECK(signed_area(closed_line(shape, rule).points) ==
          Approx(radius * radius / 2 * (angle - std::sin(angle))).epsilon(1e-9));
  }
}

TEST_CASE("clockwise drawings are turned round and keep the numbers of their sides", "[mesh]") {
  const PolygonShape shape{{{{0, 0}}, {{0, 10 * mm}}, {{10 * mm, 10 * mm}}, {{10 * mm, 0}}}};
  const auto line = closed_line(shape, rule);
  CHECK(signed_area(line.points) == Approx(100e-6));
  for (std::size_t i = 0; i < 4; ++i) {
    // Side k of the drawing joins its corners k and k + 1, in whichever sense.
    const auto k = static_cast<std::size_t>(line.side[i]);
    const Point a = shape.corners[k].at;
    const Point b = shape.corners[(k + 1) % 4].at;
    const Point p = line.points[i];
    const Point q = line.points[(i + 1) % 4];
    CHECK(((p == b && q == a) || (p == a && q == b)));
  }
}

TEST_CASE("a rectangle with rounded corners lacks (4 − π) r² of its area", "[mesh][analytic]") {
  for (const double turn : {0.0, 0.3}) {
    const RectangleShape shape{{5 * mm, 5 * mm}, 8 * mm, 4 * mm, 1 * mm, turn};
    CHECK(signed_area(closed_line(shape, rule).points) ==
          Approx(32e-6 - (4 - pi) * 1e-6).epsilon(1e-12));
  }
}

TEST_CASE("a slot whose radius is half its width has two round ends", "[mesh][limit]") {
  const RectangleShape slot{{0, 0}, 10 * mm, 2 * mm, 1 * mm, 0.0};
  CHECK(signed_area(closed_line(slot, rule).points) == Approx(16e-6 + pi * 1e-6).epsilon(1e-12));
  const RectangleShape disc{{0, 0}, 2 * mm, 2 * mm, 1 * mm, 0.0};
  CHECK(signed_area(closed_line(disc, rule).points) == Approx(pi * 1e-6).epsilon(1e-12));
}

TEST_CASE("a point is found inside or outside a polygon with a notch", "[mesh]") {
  const std::vector<Point> notched = {{0, 0}, {4, 0}, {4, 4}, {2, 1}, {0, 4}};
  CHECK(contains(notched, {0.5, 1}));
  CHECK(contains(notched, {3.5, 1}));
  CHECK_FALSE(contains(notched, {2, 2}));
  CHECK_FALSE(contains(notched, {5, 1}));
  CHECK(rim_distance(notched, {2, -1}) == Approx(1.0));
}
