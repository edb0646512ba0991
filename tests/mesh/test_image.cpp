#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "mesh/image.hpp"
#include "mesh/outline.hpp"
#include "mesh/plane.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

TEST_CASE("a point is mirrored, then turned, then moved", "[mesh][analytic]") {
  Image image;
  image.mirror = {Point{0, 0}, Point{0, 1}};
  image.turn = std::numbers::pi / 2;
  image.turn_about = {1, 0};
  image.move = {0, 10};
  // (3, 1) → (−3, 1) → a quarter turn about (1, 0): (0, −4) → (0, 6).
  const Point p = transformed(Point{3, 1}, image);
  CHECK(p.x == Approx(0.0).margin(1e-12));
  CHECK(p.y == Approx(6.0));
}

TEST_CASE("the image of every shape is the shape of the images of its points", "[mesh][analytic]") {
  Image image;
  image.mirror = {Point{1 * mm, 2 * mm}, Point{4 * mm, 3 * mm}};
  image.turn = 0.4;
  image.turn_about = {5 * mm, 1 * mm};
  image.move = {-3 * mm, 8 * mm};
  const ArcRule rule;
  const Shape shapes[] = {
      PolygonShape{{{{0, 0}, 0.3}, {{10 * mm, 0}, -0.2}, {{8 * mm, 6 * mm}, 0.0}}},
      CircleShape{{2 * mm, 3 * mm}, 4 * mm},
      RectangleShape{{2 * mm, 3 * mm}, 8 * mm, 4 * mm, 1 * mm, 0.2}};
  for (const Shape& shape : shapes) {
    auto expected = closed_line(shape, rule).points;
    for (Point& p : expected) p = transformed(p, image);
    const auto found = closed_line(transformed(shape, image), rule).points;
    CHECK(signed_area(found) == Approx(-signed_area(expected)));
    for (const Point p : found) CHECK(rim_distance(expected, p) < 2e-2 * mm);
    for (const Point p : expected) CHECK(rim_distance(found, p) < 2e-2 * mm);
  }
}

TEST_CASE("an image of an area brings its holes and steps and may change what is seen", "[mesh]") {
  Area original = rectangle("a", {0, 0}, {20 * mm, 10 * mm}, 1 * mm);
  original.visible = true;
  original.holes = {CircleShape{{5 * mm, 5 * mm}, 2 * mm}};
  original.steps = {{CircleShape{{12 * mm, 5 * mm}, 3 * mm}, 2 * mm, ""}};
  Image image;
  image.name = "b";
  image.move = {0, 40 * mm};
  const Area copy = transformed(original, image);
  CHECK(copy.name == "b");
  CHECK(copy.visible);
  CHECK(std::get<CircleShape>(copy.holes[0]).centre == Point{5 * mm, 45 * mm});
  CHECK(std::get<CircleShape>(copy.steps[0].outline).centre == Point{12 * mm, 45 * mm});
  CHECK(copy.steps[0].thickness == 2 * mm);
  image.visible = false;
  CHECK_FALSE(transformed(original, image).visible);
}

TEST_CASE("a mirror image of an area has the same volume in the mesh", "[mesh][balance]") {
  Layout layout = fed_plate();
  layout.areas[0] =
      polygon("l", {{0, 0}, {30 * mm, 0}, {30 * mm, 20 * mm}, {10 * mm, 8 * mm}}, 1 * mm);
  layout.areas[0].holes = {CircleShape{{24 * mm, 8 * mm}, 3 * mm}};
  layout.injection = {15 * mm, 5 * mm};
  Layout mirrored = layout;
  Image image;
  image.name = "r";
  image.mirror = {Point{0, 0}, Point{0, 1}};
  mirrored.areas[0] = transformed(layout.areas[0], image);
  mirrored.injection = transformed(layout.injection, image);
  const Model a = build_model(layout, {});
  const Model b = build_model(mirrored, {});
  CHECK(region_volumes(a)[0] == Approx(region_volumes(b)[0]).epsilon(1e-12));
}

TEST_CASE("a mirror line needs two different points", "[mesh]") {
  Image image;
  image.mirror = {Point{1, 1}, Point{1, 1}};
  CHECK_THROWS_AS(transformed(Area{}, image), GeometryError);
}
