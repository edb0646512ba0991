#include <catch2/catch.hpp>

#include "io/layout_image.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/full_cases.hpp"

using namespace firstshot;

namespace {

Layout layout_of(const std::string& text) { return read_case_text(text, "case.toml", "").layout; }

std::string with_layout(const std::string& layout) {
  return "[material]\ncard = \"a\"\n[process]\nfill_time = \"1 s\"\n[injection]\nat = [0, "
         "0]\n[layout]\nunit = \"mm\"\n" +
         layout;
}

const char* const kPart =
    "[[layout.part]]\nname = \"a\"\nthickness = \"1 mm\"\npolygon = "
    "[[0,0],[2,0],[2,1,0.5],[0,1]]\n";

std::string runner(const std::string& section) {
  return with_layout(std::string(kPart) +
                     "[[layout.runner]]\nname = \"r\"\npoints = [[0,0],[1,0]]\nsection = { " +
                     section + " }\n");
}

}  // namespace

TEST_CASE("a layout is read with all its shapes, sections, gates and the sprue", "[io]") {
  const Layout layout = layout_of(frame_case());
  REQUIRE(layout.areas.size() == 2);
  const Area& deck = layout.areas[0];
  CHECK(deck.name == "deck");
  CHECK(deck.visible);
  CHECK(deck.role == Role::part);
  CHECK(deck.thickness == 1.2e-3);
  CHECK(deck.origin == "case.toml:9:1");
  const auto& corners = std::get<PolygonShape>(deck.outline).corners;
  REQUIRE(corners.size() == 4);
  CHECK(corners[1].at == Point{50.1e-3, -5e-3});
  CHECK(corners[1].bulge == 0.4);
  REQUIRE(deck.holes.size() == 3);
  CHECK(std::get<CircleShape>(deck.holes[0]).diameter == 3e-3);
  const auto& slot = std::get<RectangleShape>(deck.holes[2]);
  CHECK(slot.width == 1e-3);
  CHECK(slot.height == 2e-3);
  CHECK(slot.corner_radius == 0.2e-3);
  CHECK(slot.turn == Approx(0.2617993877991494).epsilon(1e-15));
  REQUIRE(deck.steps.size() == 3);
  CHECK(deck.steps[0].thickness == 2e-3);
  REQUIRE(layout.runners.size() == 4);
  CHECK(layout.runners[0].start == Section(RoundSection{4e-3}));
  CHECK(layout.runners[0].end == Section(RoundSection{3.3e-3}));
  CHECK(layout.runners[1].end == Section(TrapezoidSection{4e-3, 3e-3, 7.0}));
  CHECK(layout.runners[2].end == Section(HalfRoundSection{4e-3}));
  CHECK(layout.runners[2].points.size() == 3);
  CHECK(layout.runners[3].start == Section(RectangleSection{3e-3, 2e-3}));
  REQUIRE(layout.gates.size() == 1);
  CHECK(layout.gates[0].to == Point{20e-3, 0.0});
  REQUIRE(layout.sprue);
  CHECK(layout.sprue->foot_diameter == 5e-3);
  CHECK(layout.injection == layout.sprue->at);
}

TEST_CASE("an image is mirrored, then turned, then moved", "[io]") {
  ImageMotion motion;
  motion.mirror = {Point{0.0, 0.0}, Point{0.0, 1.0}};
  motion.turn_degrees = 90.0;
  motion.about = {1.0, 0.0};
  motion.move = {0.0, 10.0};
  // (3, 1) → (-3, 1) → about (1, 0) by 90°: (1 - 1, 0 - 4) = (0, -4) → (0, 6)
  CHECK(image_of(Point{3.0, 1.0}, motion) == Point{0.0, 6.0});
}

TEST_CASE("mirroring in a slanted line keeps points on the line and swaps the others", "[io]") {
  ImageMotion motion;
  motion.mirror = {Point{1.0, 1.0}, Point{2.0, 2.0}};
  const Point swapped = image_of(Point{3.0, 5.0}, motion);
  CHECK(swapped.x == Approx(5.0).margin(1e-12));
  CHECK(swapped.y == Approx(3.0).margin(1e-12));
  CHECK(image_of(Point{4.0, 4.0}, motion) == Point{4.0, 4.0});
}

TEST_CASE("a mirrored arc bends the other way and a turned one the same", "[io]") {
  const PolygonShape polygon{{{{0.0, 0.0}, 0.5}, {{1.0, 0.0}, 0.0}, {{1.0, 1.0}, 0.0}}};
  ImageMotion mirror;
  mirror.mirror = {Point{0.0, 0.0}, Point{1.0, 0.0}};
  CHECK(std::get<PolygonShape>(image_of(Shape(polygon), mirror)).corners[0].bulge == -0.5);
  ImageMotion turn;
  turn.turn_degrees = 45.0;
  CHECK(std::get<PolygonShape>(image_of(Shape(polygon), turn)).corners[0].bulge == 0.5);
}

// The corners of the image of a rectangle are the images of its corners.
TEST_CASE("the image of a rectangle has the images of its corners", "[io]") {
  const RectangleShape shape{{2.0, 1.0}, 4.0, 2.0, 0.1, 0.3};
  auto corners = [](const RectangleShape& r) {
    std::vector<Point> points;
    for (const auto& [sx, sy] : {std::pair(1.0, 1.0), {1.0, -1.0}, {-1.0, 1.0}, {-1.0, -1.0}}) {
      const double u = sx * r.width / 2.0;
      const double v = sy * r.height / 2.0;
      points.push_back({r.centre.x + u * std::cos(r.turn) - v * std::sin(r.turn),
                        r.centre.y + u * std::sin(r.turn) + v * std::cos(r.turn)});
    }
    return points;
  };
  for (const double degrees : {0.0, 90.0, 180.0, -90.0, 37.0}) {
    for (const bool mirror : {false, true}) {
      INFO(degrees << " " << mirror);
      ImageMotion motion;
      motion.turn_degrees = degrees;
      motion.about = {0.5, -0.25};
      if (mirror) motion.mirror = {Point{0.0, 0.0}, Point{2.0, 1.0}};
      const auto got = corners(std::get<RectangleShape>(image_of(Shape(shape), motion)));
      for (const Point& corner : corners(shape)) {
        const Point want = image_of(corner, motion);
        double nearest = 1.0;
        for (const Point& p : got)
          nearest = std::min(nearest, std::hypot(p.x - want.x, p.y - want.y));
        CHECK(nearest < 1e-12);  // rounding of sines at lengths of 4
      }
    }
  }
}

TEST_CASE("quarter turns are exact and keep rectangles upright", "[io]") {
  ImageMotion motion;
  motion.turn_degrees = 270.0;
  CHECK(image_of(Point{0.1, 0.7}, motion) == Point{0.7, -0.1});
  const auto r = std::get<RectangleShape>(
      image_of(Shape(RectangleShape{{0.0, 0.0}, 3.0, 1.0, 0.0, 0.0}), motion));
  CHECK(r.turn == 0.0);
  CHECK(r.width == 1.0);
  CHECK(r.height == 3.0);
}

TEST_CASE("an image copies holes and steps and may change the visible mark", "[io]") {
  const Layout layout = layout_of(frame_case());
  const Area& image = layout.areas.at(1);
  CHECK(image.name == "deck-2");
  CHECK_FALSE(image.visible);
  CHECK(image.holes.size() == 3);
  CHECK(image.steps.size() == 3);
  CHECK(image.origin == "case.toml:42:1");
}

TEST_CASE("names are taken only once and images need an original", "[io]") {
  const auto twice = error_of(with_layout(std::string(kPart) + kPart));
  REQUIRE(twice);
  CHECK(twice->line() == 14);
  CHECK(twice->key() == "layout.part[2].name");
  CHECK_THAT(twice->what(), Catch::Contains("is taken (at case.toml:9:1)"));
  const auto orphan =
      error_of(with_layout(std::string(kPart) + "[[layout.image]]\nof = \"aa\"\nname = \"b\"\n"));
  REQUIRE(orphan);
  CHECK(orphan->line() == 14);
  CHECK(orphan->column() == 6);
  CHECK_THAT(orphan->what(),
             Catch::Contains("no part or earlier image \"aa\"; the nearest name is \"a\""));
  const auto far =
      error_of(with_layout(std::string(kPart) +
                           "[[layout.image]]\nof = \"a\"\nname = \"b\"\nmove = [9999, "
                           "0]\n[[layout.image]]\nof = \"b\"\nname = \"c\"\nmove = [9999, 0]\n"));
  REQUIRE(far);
  CHECK(far->key() == "layout.image[1].move");
}

TEST_CASE("a section takes the measures of its kind and no others", "[io]") {
  CHECK_THAT(error_of(runner("kind = \"round\", width = \"3 mm\", diameter = \"3 mm\""))->what(),
             Catch::Contains("a section of kind \"round\" has no width"));
  CHECK_THAT(
      error_of(
          runner("kind = \"rectangle\", width = \"3 mm\", depth = \"3 mm\", draft = \"3 deg\""))
          ->what(),
      Catch::Contains("has no draft"));
  CHECK_THAT(error_of(runner("kind = \"trapezoid\", width = \"3 mm\""))->what(),
             Catch::Contains("section.depth"));
  CHECK_THAT(error_of(runner("kind = \"oval\""))->what(), Catch::Contains("\"half_round\""));
  const auto steep = error_of(
      runner("kind = \"trapezoid\", width = \"2 mm\", depth = \"3 mm\", draft = \"30 deg\""));
  REQUIRE(steep);
  CHECK(steep->key() == "layout.runner[1].section.draft");
  CHECK_THAT(steep->what(), Catch::Contains("less than 18.4 deg"));
}

TEST_CASE("shapes that cannot be drawn are refused", "[io]") {
  auto part = [](const std::string& shape) {
    return with_layout("[[layout.part]]\nname = \"a\"\nthickness = \"1 mm\"\n" + shape + "\n");
  };
  CHECK_THAT(error_of(part("polygon = [[0,0],[1,0]]"))->what(),
             Catch::Contains("at least 3 corners"));
  CHECK_FALSE(error_of(part("polygon = [[0,0,1],[1,0,1]]")));
  CHECK_THAT(error_of(part("polygon = [[0,0,1,2],[1,0,1]]"))->what(),
             Catch::Contains("[x, y, bulge]"));
  CHECK_THAT(
      error_of(part("rectangle = { centre = [0,0], size = [4,2], radius = \"1.1 mm\" }"))->what(),
      Catch::Contains("at most 1 mm"));
  CHECK_THAT(error_of(part("rectangle = { centre = [0,0], size = [4,0] }"))->what(),
             Catch::Contains("out of range"));
  CHECK_THAT(error_of(with_layout(""))->what(), Catch::Contains("no part"));
}

TEST_CASE("the injection point follows the sprue", "[io]") {
  const std::string sprue =
      "[layout.sprue]\nat = [3, 4]\nlength = \"30 mm\"\nnozzle_diameter = \"3 mm\"\nfoot_diameter "
      "= \"4 mm\"\n";
  const std::string text = with_layout(sprue + kPart);
  const auto elsewhere = error_of(text);
  REQUIRE(elsewhere);
  CHECK(elsewhere->key() == "injection.at");
  CHECK(layout_of(replaced(text, "at = [0, 0]", "at = [3, 4]")).injection == Point{3e-3, 4e-3});
  CHECK(layout_of(replaced(text, "[injection]\nat = [0, 0]\n", "")).injection == Point{3e-3, 4e-3});
  const auto mouth = error_of(replaced(text, "at = [0, 0]", "width = \"3 mm\""));
  REQUIRE(mouth);
  CHECK(mouth->key() == "injection.width");
}
