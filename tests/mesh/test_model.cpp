#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/model.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {
constexpr double pi = std::numbers::pi;
}

TEST_CASE("the volume of a cone element is exact", "[mesh][analytic]") {
  LineElement line;
  line.length = 35e-3;
  line.start = RoundSection{3e-3};
  line.end = RoundSection{5e-3};
  CHECK(volume(line) == Approx(pi * 35e-3 / 12 * (9 + 15 + 25) * 1e-6).epsilon(1e-12));
}

TEST_CASE("volume of a disc with a hole", "[mesh][analytic]") {
  Layout layout;
  Area disc;
  disc.name = "disc";
  disc.outline = CircleShape{{0, 0}, 40 * mm};
  disc.holes = {CircleShape{{8 * mm, 0}, 6 * mm}};
  disc.thickness = 1.5 * mm;
  layout.areas = {disc};
  layout.injection = {-8 * mm, 0};
  const Model model = build_model(layout, {});
  CHECK(region_volumes(model)[0] == Approx(pi / 4 * (1600 - 36) * 1.5e-9).epsilon(1e-12));
  CHECK(projected_area(model) == Approx(pi / 4 * (1600 - 36) * 1e-6).epsilon(1e-12));
}

TEST_CASE("volume of a plate with a step in a step", "[mesh][analytic]") {
  Layout layout = fed_plate();
  layout.areas[0].steps = {
      {RectangleShape{{8 * mm, 10 * mm}, 10 * mm, 10 * mm, 0, 0}, 2 * mm, ""},
      {RectangleShape{{8 * mm, 10 * mm}, 4 * mm, 4 * mm, 0, 0.5}, 0.5 * mm, ""}};
  CHECK(region_volumes(build_model(layout, {}))[0] ==
        Approx((600 - 100) * 1e-9 + (100 - 16) * 2e-9 + 16 * 0.5e-9).epsilon(1e-12));
}

TEST_CASE("a step that is flush with the outline is a ledge at the edge", "[mesh][analytic]") {
  Layout layout = fed_plate();
  layout.areas[0].steps = {{RectangleShape{{4 * mm, 10 * mm}, 8 * mm, 20 * mm, 0, 0}, 2 * mm, ""}};
  CHECK(region_volumes(build_model(layout, {}))[0] == Approx(440e-9 + 160 * 2e-9).epsilon(1e-12));
}

TEST_CASE("the projected area counts channels by their width and the sprue by its foot",
          "[mesh][analytic]") {
  const Model model = build_model(frame_of_one(), {});
  const double expected = 600e-6 + 40 * 4e-6 + 2 * 1e-6 + pi / 4 * 25e-6;
  CHECK(projected_area(model) == Approx(expected).epsilon(1e-12));
}

TEST_CASE("the foot of a sprue on a part is not counted twice", "[mesh][analytic]") {
  Layout layout = fed_plate();
  layout.sprue = Sprue{{15 * mm, 10 * mm}, 35 * mm, 3 * mm, 5 * mm, ""};
  CHECK(projected_area(build_model(layout, {})) == Approx(600e-6).epsilon(1e-12));
}
