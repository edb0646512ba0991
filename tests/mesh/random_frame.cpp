#include "tests/mesh/random_frame.hpp"

#include <cmath>
#include <random>
#include <string>

#include "mesh/outline.hpp"
#include "mesh/plane.hpp"
#include "tests/mesh/layouts.hpp"

namespace firstshot::test {
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

}  // namespace

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

Layout transformed_frame(const Layout& layout, Image image) {
  Layout out = layout;
  for (Area& area : out.areas) {
    image.name = area.name;
    area = transformed(area, image);
  }
  for (RunnerLine& runner : out.runners)
    for (Point& p : runner.points) p = transformed(p, image);
  for (GateLine& g : out.gates) {
    g.from = transformed(g.from, image);
    g.to = transformed(g.to, image);
  }
  if (out.sprue) out.sprue->at = transformed(layout.sprue->at, image);
  return out;
}

}  // namespace firstshot::test
