#include <catch2/catch.hpp>

#include "mesh/drawing_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/outline.hpp"
#include "mesh/plane.hpp"

using namespace firstshot;

namespace {

constexpr double kMm = 1e-3;

DrawnPath path(const std::string& layer, const std::vector<Corner>& corners, bool closed = false) {
  DrawnPath made{layer, {}, closed, "frame.dxf:1"};
  for (const Corner& c : corners) made.corners.push_back({kMm * c.at, c.bulge});
  return made;
}
DrawnPath line(const std::string& layer, Point a, Point b) {
  return path(layer, {{a, 0.0}, {b, 0.0}});
}
DrawnPath box(const std::string& layer, double x1, double y1, double x2, double y2) {
  return path(layer, {{{x1, y1}, 0.0}, {{x2, y1}, 0.0}, {{x2, y2}, 0.0}, {{x1, y2}, 0.0}}, true);
}

// Layers of every role.
DrawingRules rules() {
  DrawingRules r;
  const TrapezoidSection wide{5 * kMm, 4 * kMm, 10.0};
  const TrapezoidSection narrow{4 * kMm, 3 * kMm, 10.0};
  r.layers = {{"parts", AreaLayer{Role::part, 1.2 * kMm, false}, ""},
              {"thick", AreaLayer{Role::part, 2.0 * kMm, true}, ""},
              {"holes", HoleLayer{}, ""},
              {"steps", StepLayer{0.8 * kMm}, ""},
              {"taper", RunnerLayer{wide, narrow}, ""},
              {"stubs", RunnerLayer{narrow, narrow}, ""},
              {"gates", GateLayer{1.0 * kMm, 0.6 * kMm}, ""},
              {"sprue", SprueLayer{30 * kMm, 3 * kMm, {}}, ""},
              {"notes", IgnoredLayer{}, ""}};
  r.injection = Point{};
  return r;
}

double outline_area(const Area& area) {
  return signed_area(closed_line(area.outline, ArcRule{}).points);
}

}  // namespace

TEST_CASE("lines drawn in any order and direction become one outline", "[mesh][drawing]") {
  Drawing d;
  d.paths = {line("parts", {0, 0}, {10, 0}), line("parts", {0, 5}, {0, 0}),
             line("parts", {0, 5}, {10, 5}), path("parts", {{{10, 0}, 1.0}, {{10, 5}, 0.0}})};
  const DrawnLayout made = layout_of(d, rules());
  REQUIRE(made.layout.areas.size() == 1);
  CHECK(made.notes.empty());
  const double half_disc = std::numbers::pi * 2.5 * 2.5 / 2;
  CHECK(outline_area(made.layout.areas[0]) == Approx((50 + half_disc) * kMm * kMm));
}

TEST_CASE("small gaps are closed in the middle and said, larger ones refused with both ends",
          "[mesh][drawing]") {
  const auto drawn = [](double gap) {
    Drawing d;
    d.paths = {line("parts", {0, 0}, {10 - gap, 0}), line("parts", {10, 0}, {10, 5}),
               line("parts", {10, 5}, {0, 5.01}), line("parts", {0, 5}, {0, 0})};
    return d;
  };
  const DrawnLayout made = layout_of(drawn(0.04), rules());
  const auto& corners = std::get<PolygonShape>(made.layout.areas[0].outline).corners;
  REQUIRE(corners.size() == 4);
  CHECK(std::any_of(corners.begin(), corners.end(), [](const Corner& c) {
    return distance(c.at, {9.98 * kMm, 0.0}) < 1e-9;
  }));
  REQUIRE(made.notes.size() == 1);
  CHECK_THAT(made.notes[0], Catch::Contains("Closed 2 gaps") &&
                                Catch::Contains("largest is 0.04 mm at (9.98, 0) mm"));
  CHECK_THROWS_WITH(layout_of(drawn(0.06), rules()), Catch::Contains("(10, 0) mm") &&
                                                         Catch::Contains("0.06 mm away") &&
                                                         Catch::Contains("x = 9.940 mm"));
}

TEST_CASE("outlines nest: part, hole, part in the hole; steps lie in parts", "[mesh][drawing]") {
  Drawing d;
  d.paths = {box("parts", 0, 0, 30, 30), box("parts", 5, 5, 25, 25), box("thick", 10, 10, 20, 20),
             box("holes", 12, 12, 14, 14), box("steps", 1, 1, 4, 4)};
  d.circles = {{"holes", {{27 * kMm, 27 * kMm}, 2 * kMm}, ""}};
  const Layout made = layout_of(d, rules()).layout;
  REQUIRE(made.areas.size() == 2);
  const Area& outer = made.areas[0];
  const Area& inner = made.areas[1];
  CHECK(outer.thickness == 1.2 * kMm);
  CHECK(outer.holes.size() == 2);
  CHECK(outer.steps.size() == 1);
  CHECK(inner.thickness == 2.0 * kMm);
  CHECK(inner.visible);
  CHECK(inner.holes.size() == 1);
}

TEST_CASE("what lies in the wrong place is refused", "[mesh][drawing]") {
  const auto refused = [](const DrawnPath& more, const std::string& says) {
    Drawing d;
    d.paths = {box("parts", 0, 0, 30, 30), box("holes", 5, 5, 25, 25), more};
    CHECK_THROWS_WITH(layout_of(d, rules()), Catch::Contains(says));
  };
  refused(box("holes", 40, 0, 41, 1), "a hole lies outside of all parts");
  refused(box("steps", 40, 0, 41, 1), "a step lies outside of all parts");
  refused(box("steps", 10, 10, 12, 12), "a step lies in a hole");
  refused(box("thick", 1, 1, 4, 4), "needs the role \"step\"");
  refused(path("parts", {{{40, 0}, 0.0}, {{50, 0}, 0.0}}, true), "encloses nothing");
}

TEST_CASE("parts are numbered row by row whatever the order of the drawing", "[mesh][drawing]") {
  std::vector<DrawnPath> boxes = {box("parts", 0, 0, 1, 1), box("parts", 5, 0, 6, 1),
                                  box("parts", 0, 9, 1, 10), box("parts", 5, 9, 6, 10)};
  DrawingRules r = rules();
  r.marks = {{"mast", {5.5 * kMm, 0.5 * kMm}, true, "case.toml:9:1"}};
  for (int turn = 0; turn < 4; ++turn) {
    Drawing d;
    d.paths = boxes;
    const auto areas = layout_of(d, r).layout.areas;
    REQUIRE(areas.size() == 4);
    CHECK(areas[0].name == "part-1");
    CHECK(std::get<PolygonShape>(areas[1].outline).corners[0].at.y == Approx(9 * kMm));
    CHECK(areas[1].name == "part-2");
    CHECK(areas[2].name == "part-3");
    CHECK(areas[3].name == "mast");
    CHECK(areas[3].visible);
    std::rotate(boxes.begin(), boxes.begin() + 1, boxes.end());
  }
  Drawing d;
  d.paths = boxes;
  r.marks.push_back({"boom", {5.2 * kMm, 0.2 * kMm}, false, "case.toml:12:1"});
  CHECK_THROWS_WITH(layout_of(d, r), Catch::Contains("\"mast\" and \"boom\" lie in the same part"));
  r.marks[1].inside = {3 * kMm, 0.0};
  CHECK_THROWS_WITH(layout_of(d, r),
                    Catch::Contains("case.toml:12:1") && Catch::Contains("lies in no part"));
}

TEST_CASE("runners are joined, led away from the injection point and end at crossings",
          "[mesh][drawing]") {
  Drawing d;
  // A spine of two lines through the sprue, a bent branch that begins on it, all drawn inwards.
  d.paths = {box("parts", 100, 0, 101, 1),
             line("taper", {40, 0}, {0, 0}),
             line("taper", {-40, 0}, {0, 0}),
             line("stubs", {20, 30}, {10, 30}),
             line("stubs", {20, 0}, {20, 30}),
             line("stubs", {20, -30}, {20, 0}),
             path("stubs", {{{-40, 0}, 0.5}, {{-50, 10}, 0.0}})};
  const auto runners = layout_of(d, rules()).layout.runners;
  REQUIRE(runners.size() == 5);
  const auto starting = [&](Point at, Point end) {
    return std::count_if(runners.begin(), runners.end(), [&](const RunnerLine& r) {
      return distance(r.points.front(), kMm * at) < 1e-9 &&
             distance(r.points.back(), kMm * end) < 1e-9;
    });
  };
  CHECK(starting({0, 0}, {40, 0}) == 1);
  CHECK(starting({0, 0}, {-40, 0}) == 1);
  CHECK(starting({20, 0}, {10, 30}) == 1);
  CHECK(starting({20, 0}, {20, -30}) == 1);
  CHECK(starting({-40, 0}, {-50, 10}) == 1);
  d.paths.push_back(line("taper", {200, 0}, {210, 0}));
  CHECK_THROWS_WITH(layout_of(d, rules()), Catch::Contains("its wide end is not known"));
}

TEST_CASE("gates point at their part and take its name", "[mesh][drawing]") {
  Drawing d;
  d.paths = {box("parts", 11, -5, 31, 5), line("stubs", {0, 0}, {10, 0}),
             line("stubs", {10, 0}, {10, 3}), line("gates", {11.02, 0}, {10, 0}),
             line("gates", {10, 3}, {11, 3})};
  const Layout made = layout_of(d, rules()).layout;
  REQUIRE(made.gates.size() == 2);
  for (const GateLine& gate : made.gates) CHECK(gate.to.x > gate.from.x);
  CHECK(made.gates[0].name == "g-part-1-1");
  CHECK(made.gates[1].name == "g-part-1-2");
  d.paths.push_back(line("gates", {10, 1}, {10.8, 1}));
  CHECK_THROWS_WITH(layout_of(d, rules()), Catch::Contains("0.2 mm from the rim"));
}

TEST_CASE("lines drawn twice are left out and said", "[mesh][drawing]") {
  Drawing d;
  d.paths = {line("parts", {0, 0}, {10, 0}), line("parts", {10, 0}, {5, 8}),
             line("parts", {5, 8}, {0, 0}),  line("parts", {10, 0}, {0, 0}),
             box("holes", 4, 1, 6, 2),       box("holes", 4, 1, 6, 2)};
  d.circles = {{"holes", {{5 * kMm, 5 * kMm}, 1 * kMm}, ""},
               {"holes", {{5 * kMm, 5 * kMm}, 1 * kMm}, ""}};
  const DrawnLayout made = layout_of(d, rules());
  REQUIRE(made.layout.areas.size() == 1);
  CHECK(made.layout.areas[0].holes.size() == 2);
  REQUIRE(made.notes.size() == 1);
  CHECK_THAT(made.notes[0], Catch::Contains("Left out 3 lines"));
}

TEST_CASE("there is one sprue at most, drawn as a circle or a point", "[mesh][drawing]") {
  Drawing d;
  d.paths = {box("parts", 0, 0, 30, 30)};
  d.circles = {{"sprue", {{9 * kMm, 9 * kMm}, 5 * kMm}, "frame.dxf:7"}};
  const Layout one = layout_of(d, rules()).layout;
  CHECK(one.sprue->foot_diameter == 5 * kMm);
  CHECK(one.injection == Point{9 * kMm, 9 * kMm});
  d.circles.push_back({"sprue", {{1 * kMm, 9 * kMm}, 5 * kMm}, "frame.dxf:9"});
  CHECK_THROWS_WITH(layout_of(d, rules()), Catch::Contains("a second sprue"));
  d.circles.clear();
  d.points = {{"sprue", {9 * kMm, 9 * kMm}, "frame.dxf:7"}};
  CHECK_THROWS_WITH(layout_of(d, rules()), Catch::Contains("needs foot_diameter"));
}
