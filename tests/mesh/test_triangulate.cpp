// Properties that every mesh must have, on drawings that are hard to mesh.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/plane.hpp"
#include "mesh/triangulate.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double pi = std::numbers::pi;

Layout plate_with_holes() {
  Layout layout = fed_plate();
  layout.areas[0].holes = {CircleShape{{5 * mm, 5 * mm}, 3 * mm},
                           RectangleShape{{25 * mm, 10 * mm}, 8 * mm, 2 * mm, 1 * mm, 1.1},
                           CircleShape{{8 * mm, 18.8 * mm}, 1.2 * mm}};
  layout.areas[0].steps = {{CircleShape{{15 * mm, 3 * mm}, 4 * mm}, 2 * mm, ""},
                           {RectangleShape{{3 * mm, 15 * mm}, 6 * mm, 4 * mm, 0, 0}, 0.7 * mm, ""}};
  return layout;
}

Layout wedge(double angle_deg) {
  const double angle = angle_deg * pi / 180;
  Layout layout;
  layout.areas = {polygon(
      "wedge", {{0, 0}, {60 * mm, 0}, {60 * mm * std::cos(angle), 60 * mm * std::sin(angle)}},
      1 * mm)};
  layout.injection = {50 * mm * std::cos(angle / 2), 50 * mm * std::sin(angle / 2)};
  layout.injection_diameter = 0.5 * mm;
  return layout;
}

}  // namespace

TEST_CASE("edge weights are never negative", "[mesh]") {
  Layout joined = fed_plate();
  joined.areas.push_back(polygon(
      "flap", {{30 * mm, 3 * mm}, {45 * mm, 7 * mm}, {44 * mm, 18 * mm}, {30 * mm, 14 * mm}},
      2 * mm));
  const Layout layouts[] = {fed_plate(), plate_with_holes(), joined,      frame_of_one(),
                            wedge(3),    wedge(10),          wedge(25.0), wedge(45.0)};
  for (const Layout& layout : layouts) {
    for (const double size : {2.0 * mm, 1.2 * mm, 0.5 * mm}) {
      MeshOptions options;
      options.element_size = size;
      CHECK(quality(build_model(layout, options).mesh).non_delaunay_edges == 0);
    }
  }
}

TEST_CASE("no angle is below 26° where the drawing has none", "[mesh]") {
  for (const Layout& layout : {fed_plate(), plate_with_holes(), frame_of_one()}) {
    for (const double size : {2.0 * mm, 1.2 * mm, 0.4 * mm}) {
      MeshOptions options;
      options.element_size = size;
      const MeshQuality q = quality(build_model(layout, options).mesh);
      CHECK(q.min_angle_deg > 26.0);
      CHECK(q.mean_min_angle_deg > 45.0);
    }
  }
}

TEST_CASE("a sharp wedge keeps its own angle and no smaller one", "[mesh][limit]") {
  for (const double angle : {3.0, 10.0, 20.0}) {
    CHECK(quality(build_model(wedge(angle), {}).mesh).min_angle_deg > 0.99 * angle);
  }
}

TEST_CASE("the mean edge in the open is the wanted element size", "[mesh]") {
  for (const double size : {1.0 * mm, 0.3 * mm}) {
    MeshOptions options;
    options.element_size = size;
    const Model model = build_model(fed_plate(), options);
    double sum = 0.0;
    int n = 0;
    for (const MeshEdge& edge : mesh_edges(model.mesh)) {
      const Point a = model.mesh.points[edge.a];
      const Point b = model.mesh.points[edge.b];
      // Away from the mouth, whose features are smaller.
      if (distance(a, {15 * mm, 10 * mm}) < 5 * mm) continue;
      sum += distance(a, b);
      ++n;
    }
    CHECK(sum / n == Approx(size).epsilon(0.1));
  }
}

TEST_CASE("areas of regions and thicknesses are exact, so no triangle lies across a border",
          "[mesh][analytic]") {
  const Model model = build_model(plate_with_holes(), {});
  const double holes = pi / 4 * 9e-6 + (2 * 6e-6 + pi * 1e-6) + pi / 4 * 1.44e-6;
  CHECK(meshed_area(model, 0) == Approx(600e-6 - holes).epsilon(1e-12));
  double thick = 0.0;
  double thin = 0.0;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    if (model.thickness[t] == 2 * mm) thick += area(model.mesh, t);
    if (model.thickness[t] == 0.7 * mm) thin += area(model.mesh, t);
  }
  CHECK(thick == Approx(pi / 4 * 16e-6).epsilon(1e-12));
  CHECK(thin == Approx(24e-6).epsilon(1e-12));
}

TEST_CASE("a finer mesh around a hole is graded into the open", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas[0].holes = {CircleShape{{5 * mm, 5 * mm}, 0.6 * mm}};
  MeshOptions options;
  options.element_size = 2 * mm;
  const Model model = build_model(layout, options);
  for (const MeshEdge& edge : mesh_edges(model.mesh)) {
    const Point a = model.mesh.points[edge.a];
    const Point b = model.mesh.points[edge.b];
    const double way = distance(between(a, b, 0.5), {5 * mm, 5 * mm});
    // Sides on the rim are 0.16 mm; the bound on the longest side is 1.5 times the wanted size.
    CHECK(distance(a, b) < 1.6 * (0.16 * mm + options.grading * way));
  }
}

TEST_CASE("an area drawn as a runner has six elements across, one drawn as a gate four", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("runner", {0, 0}, {30 * mm, 3 * mm}, 3 * mm),
                  rectangle("gate", {30 * mm, 1 * mm}, {32 * mm, 2 * mm}, 0.6 * mm),
                  rectangle("plate", {32 * mm, -10 * mm}, {52 * mm, 10 * mm}, 1 * mm)};
  layout.areas[0].role = Role::runner;
  layout.areas[1].role = Role::gate;
  layout.injection = {2 * mm, 1.5 * mm};
  MeshOptions options;
  options.element_size = 3 * mm;
  const Model model = build_model(layout, options);
  for (const double x : {8.0, 15.0, 22.0, 27.0}) {
    CHECK(triangles_across(model, {x * mm, 0}, {x * mm, 3 * mm}) >= 6);
  }
  CHECK(triangles_across(model, {31 * mm, 1 * mm}, {31 * mm, 2 * mm}) >= 4);
  int on_end = 0;
  for (const MeshEdge& edge : mesh_edges(model.mesh)) {
    const Point m = between(model.mesh.points[edge.a], model.mesh.points[edge.b], 0.5);
    if (edge.right == TriId{-1} && std::abs(m.x) < 1e-9) ++on_end;
  }
  CHECK(on_end >= 6);
}

TEST_CASE("a narrow part has four elements across", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas.push_back(rectangle("bar", {30 * mm, 8 * mm}, {60 * mm, 10 * mm}, 1 * mm));
  MeshOptions options;
  options.element_size = 3 * mm;
  const Model model = build_model(layout, options);
  for (const double x : {35.0, 41.3, 52.0}) {
    CHECK(triangles_across(model, {x * mm, 8 * mm}, {x * mm, 10 * mm}) >= 4);
  }
}

TEST_CASE("a plate with forty holes gets as many vertices as its size asks for", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas[0] = rectangle("plate", {0, 0}, {180 * mm, 140 * mm}, 1 * mm);
  for (int column = 0; column < 8; ++column) {
    for (int row = 0; row < 5; ++row) {
      layout.areas[0].holes.push_back(
          CircleShape{{(25 + 17.0 * column) * mm, (25 + 21.0 * row) * mm}, 3 * mm});
    }
  }
  const MeshOptions options;
  const Model model = build_model(layout, options);
  // Equilateral triangles of the open size, and more around the holes.
  const double open =
      meshed_area(model, 0) / (0.5 * std::sqrt(3.0) * options.element_size * options.element_size);
  const auto vertices = static_cast<double>(model.mesh.points.size());
  CHECK(vertices > 0.8 * open);
  CHECK(vertices < 1.3 * open);
  CHECK(quality(model.mesh).min_angle_deg > 26.0);
}
