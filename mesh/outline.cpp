#include "mesh/outline.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double pi = std::numbers::pi;
/// Fewest sides of a full circle: keeps a tiny hole from becoming a triangle.
constexpr double fewest_sides = 12.0;
/// A bulge below this is a straight side: 1e-9 of a 1 m side bends by half a nanometre.
constexpr double straight_bulge = 1e-9;

/// Number of sides for an arc of the given angle [rad]. Corners set for equal area stand outside
/// the arc by a third of the sagitta and the middle of each side lies inside by two thirds.
int arc_sides(double radius, double angle, const ArcRule& rule) {
  const double sagitta = std::min(1.5 * rule.deviation, radius);
  const double by_deviation = angle / (2.0 * std::acos(1.0 - sagitta / radius));
  const double by_length = radius * angle / rule.longest_side;
  const double by_count = fewest_sides * angle / (2.0 * pi);
  // The small share keeps a count that is whole but for rounding from growing by one.
  return std::max(
      2, static_cast<int>(std::ceil(std::max({by_deviation, by_length, by_count}) * (1.0 - 1e-9))));
}

/// Radius of the inner corners over the arc's radius, for n sides over `angle` whose end corners
/// stay on the arc: sin(angle/n) ((n − 2) x² + 2 x) = angle.
double equal_area_ratio(double angle, int n) {
  const double rhs = angle / std::sin(angle / n);
  return n == 2 ? rhs / 2.0 : (std::sqrt(1.0 + (n - 2) * rhs) - 1.0) / (n - 2);
}

/// Adds the points strictly between a and b on the arc with the given bulge.
void add_arc(Point a, Point b, double bulge, const ArcRule& rule, std::vector<Point>& points) {
  const double angle = 4.0 * std::atan(bulge);
  const Point chord = b - a;
  const Point centre =
      between(a, b, 0.5) + ((1.0 - bulge * bulge) / (4.0 * bulge)) * turned_left(chord);
  const double radius = distance(centre, a);
  const int n = arc_sides(radius, std::abs(angle), rule);
  const double ratio = equal_area_ratio(std::abs(angle), n);
  for (int k = 1; k < n; ++k) {
    const double turn = angle * k / n;
    const Point arm = a - centre;
    const Point turned = {arm.x * std::cos(turn) - arm.y * std::sin(turn),
                          arm.x * std::sin(turn) + arm.y * std::cos(turn)};
    points.push_back(centre + ratio * turned);
  }
}

ClosedLine line_of(const PolygonShape& polygon, const ArcRule& rule) {
  ClosedLine line;
  const std::size_t n = polygon.corners.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Corner& corner = polygon.corners[i];
    line.points.push_back(corner.at);
    if (std::abs(corner.bulge) > straight_bulge) {
      add_arc(corner.at, polygon.corners[(i + 1) % n].at, corner.bulge, rule, line.points);
    }
    line.side.resize(line.points.size(), static_cast<int>(i));
  }
  return line;
}

ClosedLine line_of(const CircleShape& circle, const ArcRule& rule) {
  const int n = arc_sides(circle.diameter / 2.0, 2.0 * pi, rule);
  const double step = 2.0 * pi / n;
  const double radius = circle.diameter / 2.0 * std::sqrt(step / std::sin(step));
  ClosedLine line;
  for (int k = 0; k < n; ++k) {
    line.points.push_back(circle.centre + radius * Point{std::cos(step * k), std::sin(step * k)});
  }
  line.side.assign(line.points.size(), 0);
  return line;
}

ClosedLine line_of(const RectangleShape& r, const ArcRule& rule) {
  const Point along = {std::cos(r.turn), std::sin(r.turn)};
  const Point across = turned_left(along);
  const double w = r.width / 2.0;
  const double h = r.height / 2.0;
  const double round = r.corner_radius;
  PolygonShape polygon;
  const auto add = [&](double x, double y, double bulge) {
    polygon.corners.push_back({r.centre + x * along + y * across, bulge});
  };
  if (round <= 0.0) {
    add(-w, -h, 0.0), add(w, -h, 0.0), add(w, h, 0.0), add(-w, h, 0.0);
    return line_of(polygon, rule);
  }
  const double quarter = std::tan(pi / 8.0);
  // Where the radius takes a whole side, its straight piece is left out.
  const bool flat = w - round > 1e-9 * w;
  const bool tall = h - round > 1e-9 * h;
  if (flat) add(-w + round, -h, 0.0);
  add(w - round, -h, quarter);
  if (tall) add(w, -h + round, 0.0);
  add(w, h - round, quarter);
  if (flat) add(w - round, h, 0.0);
  add(-w + round, h, quarter);
  if (tall) add(-w, h - round, 0.0);
  add(-w, -h + round, quarter);
  return line_of(polygon, rule);
}

}  // namespace

ClosedLine closed_line(const Shape& shape, const ArcRule& rule) {
  ClosedLine line = std::visit([&](const auto& s) { return line_of(s, rule); }, shape);
  if (signed_area(line.points) < 0.0) {
    std::reverse(line.points.begin(), line.points.end());
    std::reverse(line.side.begin(), line.side.end());
    // After the turn, the side from point i is the one that used to end at it.
    std::rotate(line.side.begin(), line.side.begin() + 1, line.side.end());
  }
  return line;
}

double signed_area(std::span<const Point> polygon) {
  double twice = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    // Relative to the first corner, so that a frame far from the origin loses no digits.
    twice += cross(polygon[i] - polygon[0], polygon[(i + 1) % polygon.size()] - polygon[0]);
  }
  return 0.5 * twice;
}

bool contains(std::span<const Point> polygon, Point p) {
  bool inside = false;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const Point a = polygon[j];
    const Point b = polygon[i];
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < a.x + (b.x - a.x) * ((p.y - a.y) / (b.y - a.y))) inside = !inside;
  }
  return inside;
}

double rim_distance(std::span<const Point> polygon, Point p) {
  double nearest = 1e300;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    nearest = std::min(nearest, foot_on(polygon[i], polygon[(i + 1) % polygon.size()], p).distance);
  }
  return nearest;
}

}  // namespace firstshot
