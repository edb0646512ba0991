#include <cmath>
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

TEST_CASE("a frame that is made larger keeps its shape", "[mesh]") {
  const double factor = 1.01;
  Model model;
  model.mesh.points.push_back({0, 0});
  model.mesh.points.push_back({2e-3, 0});
  model.mesh.points.push_back({0, 1e-3});
  model.mesh.triangles.push_back({VertexId{0}, VertexId{1}, VertexId{2}});
  model.mesh.region.push_back(0);
  model.regions = {{"plate", Role::part, false}};
  model.channels = {{"runner", Role::runner, -1}};
  model.thickness.push_back(1e-3);
  model.lines.push_back({NodeId{0}, NodeId{1}, 5e-3, TrapezoidSection{4e-3, 3e-3, 10.0},
                         TrapezoidSection{3e-3, 2e-3, 10.0}, 0, 1e-3});
  const double plate = region_volumes(model)[0], runner = channel_volumes(model)[0];
  scale(model, factor);
  CHECK(region_volumes(model)[0] == Approx(std::pow(factor, 3) * plate));
  CHECK(channel_volumes(model)[0] == Approx(std::pow(factor, 3) * runner));
  CHECK(model.lines[LineId{0}].entrance_radius == Approx(1.01e-3));
}
