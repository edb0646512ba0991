#include "io/layout_image.hpp"

#include <cmath>
#include <numbers>
#include <utility>

namespace firstshot {
namespace {

constexpr double kQuarterTurn = 90.0;  // [deg]
constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kFullTurn = 2.0 * std::numbers::pi;  // [rad]

struct Direction {
  double cosine = 1.0;
  double sine = 0.0;
};

// Exact for whole quarter turns.
Direction direction(double degrees) {
  const double quarters = degrees / kQuarterTurn;
  if (quarters == std::floor(quarters)) {
    const int k = static_cast<int>(std::fmod(std::fmod(quarters, 4.0) + 4.0, 4.0));
    constexpr std::array<Direction, 4> kExact{{{1.0, 0.0}, {0.0, 1.0}, {-1.0, 0.0}, {0.0, -1.0}}};
    return kExact[static_cast<std::size_t>(k)];
  }
  return {std::cos(degrees * kDegree), std::sin(degrees * kDegree)};
}

Point mirrored(const Point& p, const std::array<Point, 2>& line) {
  const double dx = line[1].x - line[0].x;
  const double dy = line[1].y - line[0].y;
  if (dx == 0.0) return {2.0 * line[0].x - p.x, p.y};
  if (dy == 0.0) return {p.x, 2.0 * line[0].y - p.y};
  const double length2 = dx * dx + dy * dy;
  const double along = ((p.x - line[0].x) * dx + (p.y - line[0].y) * dy) / length2;
  return {2.0 * (line[0].x + along * dx) - p.x, 2.0 * (line[0].y + along * dy) - p.y};
}

// Turn of a rectangle that leaves it the same: whole half turns away, quarter turns as swapped
// sides.
void turn_rectangle(RectangleShape& shape, double degrees) {
  const double quarters = degrees / kQuarterTurn;
  if (quarters != std::floor(quarters)) {
    shape.turn = std::remainder(shape.turn + degrees * kDegree, kFullTurn);
  } else if (std::fmod(quarters, 2.0) != 0.0) {
    std::swap(shape.width, shape.height);
  }
}

void mirror_rectangle(RectangleShape& shape, const std::array<Point, 2>& line) {
  const double dx = line[1].x - line[0].x;
  const double dy = line[1].y - line[0].y;
  shape.turn = 0.0 - shape.turn;  // not -0
  if (dx != 0.0 && dy != 0.0)
    shape.turn = std::remainder(shape.turn + 2.0 * std::atan2(dy, dx), kFullTurn);
}

struct ShapeImage {
  const ImageMotion& motion;

  Shape operator()(PolygonShape shape) const {
    for (Corner& corner : shape.corners) {
      corner.at = image_of(corner.at, motion);
      if (motion.mirror) corner.bulge = -corner.bulge;
    }
    return shape;
  }
  Shape operator()(CircleShape shape) const {
    shape.centre = image_of(shape.centre, motion);
    return shape;
  }
  Shape operator()(RectangleShape shape) const {
    shape.centre = image_of(shape.centre, motion);
    if (motion.mirror) mirror_rectangle(shape, *motion.mirror);
    turn_rectangle(shape, motion.turn_degrees);
    return shape;
  }
};

}  // namespace

Point image_of(const Point& point, const ImageMotion& motion) {
  Point p = motion.mirror ? mirrored(point, *motion.mirror) : point;
  if (motion.turn_degrees != 0.0) {
    const Direction d = direction(motion.turn_degrees);
    const double x = p.x - motion.about.x;
    const double y = p.y - motion.about.y;
    p = {motion.about.x + d.cosine * x - d.sine * y, motion.about.y + d.sine * x + d.cosine * y};
  }
  return {p.x + motion.move.x, p.y + motion.move.y};
}

Shape image_of(const Shape& shape, const ImageMotion& motion) {
  return std::visit(ShapeImage{motion}, shape);
}

Area image_of(const Area& area, const ImageMotion& motion) {
  Area image = area;
  image.outline = image_of(area.outline, motion);
  for (Shape& hole : image.holes) hole = image_of(hole, motion);
  for (Step& step : image.steps) step.outline = image_of(step.outline, motion);
  return image;
}

}  // namespace firstshot
