#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "mesh/mouth.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

Borders plate_borders() {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {30 * mm, 20 * mm}, 1 * mm)};
  return draw_borders(layout, ArcRule{}, {});
}

double span(const Mouth& mouth) {
  double sum = 0.0;
  for (const auto& [a, b] : mouth.sides) sum += distance(a, b);
  return sum;
}

}  // namespace

TEST_CASE("the nearest place on a rim is the foot of the perpendicular", "[mesh][analytic]") {
  const RimPlace place = nearest_rim(plate_borders(), {12 * mm, -3 * mm});
  CHECK(place.distance == Approx(3 * mm));
  CHECK(place.at.x == Approx(12 * mm));
  CHECK(place.at.y == Approx(0.0).margin(1e-12));
}

TEST_CASE("a mouth is as long as it is wide and divided as wanted", "[mesh]") {
  Borders borders = plate_borders();
  const Mouth mouth = cut_rim_mouth(borders, nearest_rim(borders, {12 * mm, 0}), 2 * mm, 4, "gate");
  CHECK(span(mouth) == Approx(2 * mm));
  CHECK(borders.points.size() == 4 + 2 + 3);
  CHECK(borders.loops[0].points.size() == borders.points.size());
}

TEST_CASE("a mouth wider than the side runs around the corner", "[mesh]") {
  Borders borders = plate_borders();
  const Mouth mouth =
      cut_rim_mouth(borders, nearest_rim(borders, {0.5 * mm, 0}), 4 * mm, 4, "gate");
  CHECK(span(mouth) == Approx(4 * mm));
  CHECK(lies_on_stretch(mouth, {2.4 * mm, 0}));
  CHECK(lies_on_stretch(mouth, {0, 1.4 * mm}));
  CHECK_FALSE(lies_on_stretch(mouth, {0, 1.6 * mm}));
  CHECK_FALSE(lies_on_stretch(mouth, {2.6 * mm, 0}));
}

TEST_CASE("a mouth from corner to corner ends in the corners", "[mesh][limit]") {
  Borders borders = plate_borders();
  const Mouth mouth =
      cut_rim_mouth(borders, nearest_rim(borders, {0, 10 * mm}), 20 * mm, 4, "strip");
  CHECK(span(mouth) == Approx(20 * mm));
  CHECK(borders.points.size() == 4 + 3);
}

TEST_CASE("a mouth centred on a corner takes half of each side", "[mesh]") {
  Borders borders = plate_borders();
  const Mouth mouth =
      cut_rim_mouth(borders, nearest_rim(borders, {30 * mm, 20 * mm}), 4 * mm, 4, "gate");
  CHECK(span(mouth) == Approx(4 * mm));
  CHECK(lies_on_stretch(mouth, {30 * mm, 18.1 * mm}));
  CHECK(lies_on_stretch(mouth, {28.1 * mm, 20 * mm}));
}

TEST_CASE("two mouths that overlap keep their widths", "[mesh]") {
  Borders borders = plate_borders();
  const Mouth a = cut_rim_mouth(borders, nearest_rim(borders, {12 * mm, 0}), 2 * mm, 4, "a");
  const Mouth b = cut_rim_mouth(borders, nearest_rim(borders, {12.7 * mm, 0}), 2 * mm, 4, "b");
  CHECK(span(a) == Approx(2 * mm));
  // Its ends may be moved by 1 % of the width onto points of the first.
  CHECK(span(b) == Approx(2 * mm).epsilon(0.021));
}

TEST_CASE("a mouth wider than the whole rim is refused", "[mesh]") {
  Borders borders = plate_borders();
  CHECK_THROWS_WITH(
      cut_rim_mouth(borders, nearest_rim(borders, {12 * mm, 0}), 120 * mm, 4, "gate \"g\""),
      Catch::Contains(
          "gate \"g\": the mouth is 120 mm wide, but the whole rim is only 100 mm long"));
}
