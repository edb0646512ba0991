#include "mesh/image.hpp"

#include <cmath>

#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

Shape image_of(const PolygonShape& polygon, const Image& image) {
  PolygonShape result = polygon;
  for (Corner& corner : result.corners) {
    corner.at = transformed(corner.at, image);
    // Seen in a mirror, an arc to the right of the direction of travel lies to the left.
    if (image.mirror) corner.bulge = -corner.bulge;
  }
  return result;
}

Shape image_of(const CircleShape& circle, const Image& image) {
  return CircleShape{transformed(circle.centre, image), circle.diameter};
}

Shape image_of(const RectangleShape& rectangle, const Image& image) {
  RectangleShape result = rectangle;
  result.centre = transformed(rectangle.centre, image);
  if (image.mirror) {
    const Point line = (*image.mirror)[1] - (*image.mirror)[0];
    result.turn = 2.0 * std::atan2(line.y, line.x) - result.turn;
  }
  result.turn += image.turn;
  return result;
}

}  // namespace

Point transformed(Point p, const Image& image) {
  if (image.mirror) {
    const Point start = (*image.mirror)[0];
    const Point line = (*image.mirror)[1] - start;
    const Point foot = start + (dot(p - start, line) / dot(line, line)) * line;
    p = foot + (foot - p);
  }
  if (image.turn != 0.0) {
    const Point arm = p - image.turn_about;
    const double c = std::cos(image.turn);
    const double s = std::sin(image.turn);
    p = image.turn_about + Point{c * arm.x - s * arm.y, s * arm.x + c * arm.y};
  }
  return p + image.move;
}

Shape transformed(const Shape& shape, const Image& image) {
  return std::visit([&](const auto& s) { return image_of(s, image); }, shape);
}

Area transformed(const Area& area, const Image& image) {
  if (image.mirror && !(distance((*image.mirror)[0], (*image.mirror)[1]) > 0.0)) {
    const Point at = (*image.mirror)[0];
    throw GeometryError("image \"" + image.name +
                            "\": the two points of the mirror line coincide; they must differ",
                        at.x, at.y);
  }
  Area result = area;
  result.name = image.name;
  result.outline = transformed(area.outline, image);
  for (Shape& hole : result.holes) hole = transformed(hole, image);
  for (Step& step : result.steps) step.outline = transformed(step.outline, image);
  if (image.visible) result.visible = *image.visible;
  if (!image.origin.empty()) result.origin = image.origin;
  return result;
}

}  // namespace firstshot
