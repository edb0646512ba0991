#include <set>

#include <catch2/catch.hpp>

#include "mesh/borders.hpp"
#include "mesh/error.hpp"
#include "mesh/pieces.hpp"
#include "mesh/plane.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

Borders drawn(const Layout& layout) { return draw_borders(layout, ArcRule{}, {}); }

int sides_used_twice(const Borders& borders) {
  int n = 0;
  for (const BorderSide& side : border_sides(borders)) n += side.uses.size() == 2 ? 1 : 0;
  return n;
}

}  // namespace

TEST_CASE("two squares side by side share a side and its two points", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {10 * mm, 10 * mm}, 1 * mm),
                  rectangle("b", {10 * mm, 0}, {20 * mm, 10 * mm}, 1 * mm)};
  const Borders borders = drawn(layout);
  CHECK(borders.points.size() == 6);
  CHECK(border_sides(borders).size() == 7);
  CHECK(sides_used_twice(borders) == 1);
}

TEST_CASE("a corner on a longer side splits that side", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {10 * mm, 30 * mm}, 1 * mm),
                  rectangle("b", {10 * mm, 10 * mm}, {20 * mm, 20 * mm}, 1 * mm)};
  const Borders borders = drawn(layout);
  CHECK(borders.loops[0].points.size() == 6);
  CHECK(borders.loops[0].side.size() == 6);
  CHECK(sides_used_twice(borders) == 1);
}

TEST_CASE("slanted outlines that miss each other by 4 µm of rounding are joined", "[mesh]") {
  const Point a = {0, 0};
  const Point b = {30 * mm, 17 * mm};
  const Point slant = (1.0 / distance(a, b)) * turned_left(b - a);
  for (const double miss : {-4e-6, -1e-6, 0.0, 1e-6, 4e-6}) {
    Layout layout;
    layout.areas = {polygon("below", {a, {30 * mm, -10 * mm}, b}, 1 * mm),
                    polygon("above",
                            {between(a, b, 0.3) + miss * slant, between(a, b, 0.7) + miss * slant,
                             between(a, b, 0.5) + 9 * mm * slant},
                            1 * mm)};
    CHECK(sides_used_twice(drawn(layout)) == 1);
  }
}

TEST_CASE("outlines 20 µm apart are not joined", "[mesh][limit]") {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {10 * mm, 10 * mm}, 1 * mm),
                  rectangle("b", {10.02 * mm, 0}, {20 * mm, 10 * mm}, 1 * mm)};
  CHECK(sides_used_twice(drawn(layout)) == 0);
}

TEST_CASE("a hole drilled across the border of a step splits both where they cross", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {30 * mm, 20 * mm}, 1 * mm)};
  layout.areas[0].steps = {{RectangleShape{{10 * mm, 10 * mm}, 8 * mm, 8 * mm, 0, 0}, 2 * mm, ""}};
  layout.areas[0].holes = {PolygonShape{
      {{{12 * mm, 9 * mm}}, {{17 * mm, 9 * mm}}, {{17 * mm, 11 * mm}}, {{12 * mm, 11 * mm}}}}};
  const Borders borders = drawn(layout);
  CHECK(borders.loops[1].points.size() == 6);
  CHECK(borders.loops[2].points.size() == 6);
  std::set<int> shared;
  for (const int p : borders.loops[1].points) {
    for (const int q : borders.loops[2].points) {
      if (p == q) shared.insert(p);
    }
  }
  CHECK(shared.size() == 2);
}

TEST_CASE("a crossing of an outline with itself names both sides", "[mesh]") {
  Layout layout;
  layout.areas = {
      polygon("bow", {{0, 0}, {10 * mm, 0}, {10 * mm, 10 * mm}, {4 * mm, -5 * mm}}, 1 * mm)};
  CHECK_THROWS_WITH(
      drawn(layout),
      Catch::Contains("part \"bow\": the outline crosses itself: side 1 crosses side 3"));
}

TEST_CASE("an outline that touches itself is refused", "[mesh]") {
  Layout layout;
  layout.areas = {
      polygon("w", {{0, 0}, {10 * mm, 0}, {10 * mm, 10 * mm}, {5 * mm, 0}, {0, 10 * mm}}, 1 * mm)};
  CHECK_THROWS_WITH(drawn(layout), Catch::Contains("touches itself"));
}

TEST_CASE("the last step that holds a place gives its thickness, a hole takes it away", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {30 * mm, 20 * mm}, 1 * mm)};
  layout.areas[0].steps = {{RectangleShape{{10 * mm, 10 * mm}, 12 * mm, 12 * mm, 0, 0}, 2 * mm, ""},
                           {RectangleShape{{10 * mm, 10 * mm}, 4 * mm, 4 * mm, 0, 0}, 3 * mm, ""}};
  layout.areas[0].holes = {CircleShape{{25 * mm, 10 * mm}, 4 * mm}};
  const PieceFinder pieces(layout, drawn(layout));
  CHECK(pieces.at({1 * mm, 1 * mm}).thickness == 1 * mm);
  CHECK(pieces.at({5 * mm, 10 * mm}).thickness == 2 * mm);
  CHECK(pieces.at({10 * mm, 10 * mm}).thickness == 3 * mm);
  CHECK(pieces.at({25 * mm, 10 * mm}).area == -1);
  CHECK(pieces.at({40 * mm, 10 * mm}).area == -1);
}

TEST_CASE("points inserted into a side appear in both loops in their own order", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("a", {0, 0}, {10 * mm, 10 * mm}, 1 * mm),
                  rectangle("b", {10 * mm, 0}, {20 * mm, 10 * mm}, 1 * mm)};
  Borders borders = drawn(layout);
  const auto sides = border_sides(borders);
  for (std::size_t s = 0; s < sides.size(); ++s) {
    if (sides[s].uses.size() != 2) continue;
    const Point a = borders.points[sides[s].a];
    const Point b = borders.points[sides[s].b];
    borders.points.push_back(between(a, b, 0.3));
    borders.points.push_back(between(a, b, 0.6));
    const Insertion insertion{static_cast<int>(s), {6, 7}};
    insert_points(borders, sides, {&insertion, 1});
  }
  for (const BorderLoop& loop : borders.loops) {
    REQUIRE(loop.points.size() == 6);
    std::vector<Point> points;
    for (const int p : loop.points) points.push_back(borders.points[p]);
    // In the wrong order the loop would fold back on itself and its length would grow.
    double length = 0.0;
    for (std::size_t i = 0; i < 6; ++i) length += distance(points[i], points[(i + 1) % 6]);
    CHECK(length == Approx(40 * mm));
  }
}
