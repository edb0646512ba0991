// Values out of range, one entry at a time. Each message names the entry, its place and what is
// allowed.
#include <functional>
#include <limits>

#include <catch2/catch.hpp>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

/// The message for frame_of_one after a change.
std::string after(const std::function<void(Layout&)>& change) {
  Layout layout = frame_of_one();
  change(layout);
  return error_of(layout);
}

}  // namespace

TEST_CASE("the layouts of the tests pass the checks", "[mesh]") {
  CHECK_NOTHROW(check_layout(frame_of_one()));
  CHECK_NOTHROW(check_layout(fed_plate()));
}

TEST_CASE("a message tells the entry's place in the file and in the plane", "[mesh]") {
  const std::string message = after([](Layout& l) {
    l.areas[0].origin = "layout.toml:12:1";
    l.areas[0].thickness = 0.0;
  });
  CHECK_THAT(message, Catch::StartsWith("layout.toml:12:1: part \"plate\": the thickness is 0 mm"));
  CHECK_THAT(message, Catch::EndsWith("(at x = 42.000 mm, y = -10.000 mm)"));
}

TEST_CASE("an empty layout is refused", "[mesh]") {
  CHECK_THAT(error_of(Layout{}), Catch::Contains("the layout is empty"));
}

TEST_CASE("thicknesses must be positive and finite", "[mesh]") {
  for (const double bad : {0.0, -1e-3, not_a_number, std::numeric_limits<double>::infinity()}) {
    CHECK_THAT(after([&](Layout& l) { l.areas[0].thickness = bad; }),
               Catch::Contains("part \"plate\": the thickness"));
    CHECK_THAT(after([&](Layout& l) {
                 l.areas[0].steps = {{CircleShape{{50 * mm, 0}, 4 * mm}, bad, ""}};
               }),
               Catch::Contains("step 1: the thickness"));
  }
}

TEST_CASE("shapes must have a size and finite coordinates", "[mesh]") {
  CHECK_THAT(after([](Layout& l) {
               l.areas[0].outline = CircleShape{{0, 0}, 0.0};
             }),
             Catch::Contains("the circle's diameter is 0 mm"));
  CHECK_THAT(after([](Layout& l) {
               l.areas[0].outline = RectangleShape{{0, 0}, 1, -1, 0, 0};
             }),
             Catch::Contains("the rectangle's height"));
  CHECK_THAT(after([](Layout& l) {
               l.areas[0].outline = RectangleShape{{0, 0}, 8 * mm, 4 * mm, 2.1 * mm, 0};
             }),
             Catch::Contains("it must be from 0 to half the shorter side, 2 mm"));
  CHECK_THAT(after([](Layout& l) {
               l.areas[0].outline = PolygonShape{{{{0, 0}}, {{1 * mm, 0}}}};
             }),
             Catch::Contains("has 2 corners; it must have at least 3"));
  CHECK_THAT(after([](Layout& l) {
               l.areas[0].outline = CircleShape{{not_a_number, 0}, 1 * mm};
             }),
             Catch::Contains("a coordinate is beyond"));
  CHECK_THAT(after([](Layout& l) {
               l.areas[0].holes = {CircleShape{{0, 40.0}, 1 * mm}};
             }),
             Catch::Contains("hole 1: a coordinate is beyond"));
  CHECK_THAT(after([](Layout& l) {
               std::get<PolygonShape>(l.areas[0].outline).corners[2].bulge = not_a_number;
             }),
             Catch::Contains("a bulge is out of range"));
}

TEST_CASE("sections must be positive, and a trapezoid's sides must not meet", "[mesh]") {
  const auto with = [](const Section& section) {
    return after([&](Layout& l) { l.runners[0].start = l.runners[0].end = section; });
  };
  CHECK_THAT(with(RoundSection{0.0}), Catch::Contains("runner \"main\", start: the diameter"));
  CHECK_THAT(with(HalfRoundSection{not_a_number}), Catch::Contains("the diameter"));
  CHECK_THAT(with(RectangleSection{1 * mm, -1 * mm}), Catch::Contains("the depth"));
  CHECK_THAT(with(TrapezoidSection{0.0, 1 * mm, 5}), Catch::Contains("the width"));
  CHECK_THAT(with(TrapezoidSection{4 * mm, 2 * mm, 45.0}),
             Catch::Contains("the draft is 45 deg; for this width and depth it must be from 0 to "
                             "less than 45 deg"));
  CHECK(with(TrapezoidSection{4 * mm, 2 * mm, 44.0}).empty());
}

TEST_CASE("a runner needs two points, legs of some length and one kind of section", "[mesh]") {
  CHECK_THAT(after([](Layout& l) { l.runners[0].points.pop_back(); }),
             Catch::Contains("has 1 points; a runner needs at least 2"));
  CHECK_THAT(after([](Layout& l) { l.runners[0].points[1] = l.runners[0].points[0]; }),
             Catch::Contains("points 1 and 2 are 0 mm apart"));
  CHECK_THAT(after([](Layout& l) {
               l.runners[0].end = RectangleSection{1 * mm, 1 * mm};
             }),
             Catch::Contains("starts with a round section and ends with a rectangle one"));
}

TEST_CASE("a gate needs a width, a depth and a length", "[mesh]") {
  CHECK_THAT(after([](Layout& l) { l.gates[0].width = 0.0; }),
             Catch::Contains("gate \"g\": the width"));
  CHECK_THAT(after([](Layout& l) { l.gates[0].depth = not_a_number; }),
             Catch::Contains("the depth"));
  CHECK_THAT(after([](Layout& l) { l.gates[0].to = l.gates[0].from; }),
             Catch::Contains("gate \"g\" is 0 mm long"));
}

TEST_CASE("the sprue and the injection need sizes", "[mesh]") {
  CHECK_THAT(after([](Layout& l) { l.sprue->length = 0.0; }),
             Catch::Contains("the sprue: the length"));
  CHECK_THAT(after([](Layout& l) { l.sprue->nozzle_diameter = -1.0; }),
             Catch::Contains("at the nozzle"));
  CHECK_THAT(after([](Layout& l) { l.sprue->foot_diameter = not_a_number; }),
             Catch::Contains("at the foot"));
  CHECK_THAT(after([](Layout& l) {
               l.sprue.reset();
               l.injection_diameter = -1 * mm;
             }),
             Catch::Contains("its diameter is -1 mm"));
  CHECK_THAT(after([](Layout& l) {
               l.sprue.reset();
               l.injection_width = not_a_number;
             }),
             Catch::Contains("its width"));
}

TEST_CASE("two entries must not have the same name", "[mesh]") {
  CHECK_THAT(after([](Layout& l) { l.gates[0].name = "plate"; }),
             Catch::Contains("gate \"plate\": another entry has the same name"));
  CHECK_THAT(after([](Layout& l) { l.areas.push_back(l.areas[0]); }),
             Catch::Contains("another entry has the same name"));
}

TEST_CASE("an area cannot be a sprue", "[mesh]") {
  CHECK_THAT(after([](Layout& l) { l.areas[0].role = Role::sprue; }),
             Catch::Contains("an area cannot be a sprue"));
}

TEST_CASE("roles have plain names", "[mesh]") {
  CHECK(role_name(Role::part) == "part");
  CHECK(role_name(Role::runner) == "runner");
  CHECK(role_name(Role::gate) == "gate");
  CHECK(role_name(Role::sprue) == "sprue");
}

TEST_CASE("a place is shown to a thousandth of a millimetre", "[mesh]") {
  CHECK(place_text({-1.4e-11, 0.046}) == "(0, 46) mm");
  CHECK(place_text({-0.1234567, 1.5e-6}) == "(-123.457, 0.002) mm");
}
