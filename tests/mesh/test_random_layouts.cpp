// Random frames: whatever is drawn, the mesh has its properties or a GeometryError says why not.
#include <cmath>
#include <random>

#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "mesh/image.hpp"
#include "mesh/outline.hpp"
#include "mesh/plane.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

class Dice {
 public:
  explicit Dice(unsigned seed) : random_(seed) {}
  double operator()(double low, double high) {
    // Not std::uniform_real_distribution, whose values differ between standard libraries.
    return low + (high - low) * (static_cast<double>(random_()) / 4294967296.0);
  }

 private:
  std::mt19937 random_;
};

/// A star-shaped outline around the centre with arcs on some sides.
Area random_part(Dice& dice, const std::string& name, Point centre, double radius) {
  PolygonShape shape;
  const int n = static_cast<int>(dice(3, 12));
  for (int i = 0; i < n; ++i) {
    const double angle = 2 * M_PI * (i + dice(0.1, 0.9)) / n;
    const double r = radius * dice(0.4, 1.0);
    shape.corners.push_back({centre + r * Point{std::cos(angle), std::sin(angle)},
                             dice(0, 1) < 0.3 ? dice(-0.15, 0.15) : 0.0});
  }
  Area area;
  area.name = name;
  area.outline = shape;
  area.thickness = dice(0.5, 3.0) * mm;
  if (dice(0, 1) < 0.6) {
    area.holes.push_back(CircleShape{centre, 0.2 * radius * dice(0.3, 1.0)});
  }
  if (dice(0, 1) < 0.6) {
    area.steps.push_back(
        {RectangleShape{centre, radius * dice(0.1, 0.4), radius * dice(0.1, 0.4), 0.0, dice(0, 3)},
         dice(0.5, 3.0) * mm, ""});
  }
  return area;
}

/// Parts on both sides of a runner, each with a gate to the nearest place of its outline.
Layout random_frame(unsigned seed) {
  Dice dice(seed);
  Layout layout;
  layout.runners = {round_runner("main", {{0, 0}, {100 * mm, dice(-5, 5) * mm}}, 4 * mm)};
  layout.sprue = Sprue{{0, 0}, 30 * mm, 3 * mm, 5 * mm, ""};
  for (int i = 0; i < 4; ++i) {
    const std::string number = std::to_string(i);
    const double side = i % 2 == 0 ? 1.0 : -1.0;
    layout.areas.push_back(random_part(dice, std::string("p").append(number),
                                       {(15 + 24 * i) * mm, side * 25 * mm}, 16 * mm));
    const auto rim = closed_line(layout.areas.back().outline, ArcRule{}).points;
    Point to = rim[0];
    for (const Point p : rim) {
      if (std::abs(p.y) < std::abs(to.y)) to = p;
    }
    const Point start = layout.runners[0].points[0];
    const Point from = foot_on(start, layout.runners[0].points[1], to).at;
    layout.gates.push_back(
        gate(std::string("g").append(number), from, to, dice(0.4, 3.0) * mm, dice(0.3, 1.0) * mm));
  }
  return layout;
}

}  // namespace

TEST_CASE("random frames have good meshes or a clear error", "[mesh]") {
  int built = 0;
  for (unsigned seed = 1; seed <= 60; ++seed) {
    CAPTURE(seed);
    const Layout layout = random_frame(seed);
    Model model;
    try {
      model = build_model(layout, {});
    } catch (const GeometryError& error) {
      CAPTURE(error.what());
      CHECK_FALSE(std::string(error.what()).empty());
      continue;
    }
    ++built;
    const MeshQuality q = quality(model.mesh);
    CHECK(q.non_delaunay_edges == 0);
    CHECK(q.mean_min_angle_deg > 42.0);
    CHECK(model.mesh.points.size() < 40000);
    for (const LineElement& line : model.lines.span()) CHECK(line.length > 0.0);
  }
  CHECK(built >= 45);
}

TEST_CASE("a random frame turned and moved as a whole keeps its volumes", "[mesh][balance]") {
  for (unsigned seed = 101; seed <= 110; ++seed) {
    CAPTURE(seed);
    Layout layout = random_frame(seed);
    Image image;
    image.turn = 0.1 * seed;
    image.move = {37 * mm, -512 * mm};
    Layout turned = layout;
    for (Area& area : turned.areas) {
      image.name = area.name;
      area = transformed(area, image);
    }
    for (Point& p : turned.runners[0].points) p = transformed(p, image);
    for (GateLine& g : turned.gates) {
      g.from = transformed(g.from, image);
      g.to = transformed(g.to, image);
    }
    turned.sprue->at = transformed(layout.sprue->at, image);
    const std::string error = error_of(layout);
    if (!error.empty()) {
      CHECK_FALSE(error_of(turned).empty());
      continue;
    }
    const auto a = region_volumes(build_model(layout, {}));
    const auto b = region_volumes(build_model(turned, {}));
    // The corners of a round hole do not turn with the frame, so where one cuts a step it takes a
    // little more of one thickness and less of the other.
    for (std::size_t i = 0; i < a.size(); ++i) CHECK(a[i] == Approx(b[i]).epsilon(1e-3));
  }
}
