#include "mesh/drawn_curves.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kMostSides = 4000;  // of one curve

// Stretch of a curve with its two ends, halved `depth` times.
struct Stretch {
  double from, to;
  Point a, b;
  int depth;
};

// Adds points between a and b until the curve's middle and quarters lie near the side.
template <class Curve>
void refine(const Curve& curve, const Stretch& s, double flatness, std::vector<Point>& points) {
  constexpr int kDeepest = 10;
  const double middle = 0.5 * (s.from + s.to);
  const Point m = curve(middle);
  const auto near = [&](Point p) { return foot_on(s.a, s.b, p).distance <= flatness; };
  const bool flat =
      near(m) && near(curve(0.5 * (s.from + middle))) && near(curve(0.5 * (middle + s.to)));
  if (flat || s.depth >= kDeepest || points.size() >= kMostSides) {
    points.push_back(s.b);
    return;
  }
  refine(curve, {s.from, middle, s.a, m, s.depth + 1}, flatness, points);
  refine(curve, {middle, s.to, m, s.b, s.depth + 1}, flatness, points);
}

// Side of a path as part of an ellipse (of a circle, before any motion).
EllipseArc arc_of(Point a, Point b, double bulge) {
  const Point chord = b - a;
  EllipseArc arc;
  arc.centre = between(a, b, 0.5) + ((1.0 - bulge * bulge) / (4.0 * bulge)) * turned_left(chord);
  arc.u = a - arc.centre;
  arc.v = bulge > 0.0 ? turned_left(arc.u) : -1.0 * turned_left(arc.u);
  arc.to = 4.0 * std::atan(std::abs(bulge));
  return arc;
}

}  // namespace

bool Motion::keeps_shape() const {
  constexpr double kRounding = 1e-9;
  const double larger = std::max(dot(u, u), dot(v, v));
  return std::abs(dot(u, v)) <= kRounding * larger &&
         std::abs(dot(u, u) - dot(v, v)) <= kRounding * larger;
}

Motion operator*(const Motion& outer, const Motion& inner) {
  const auto turned = [&](Point p) { return p.x * outer.u + p.y * outer.v; };
  return {turned(inner.u), turned(inner.v), outer(inner.origin)};
}

EllipseArc moved(const EllipseArc& arc, const Motion& motion) {
  const auto turned = [&](Point p) { return p.x * motion.u + p.y * motion.v; };
  return {motion(arc.centre), turned(arc.u), turned(arc.v), arc.from, arc.to};
}

Spline moved(const Spline& spline, const Motion& motion) {
  Spline result = spline;
  for (Point& p : result.points) p = motion(p);
  return result;
}

std::vector<Corner> moved(const std::vector<Corner>& corners, bool closed, const Motion& motion,
                          double flatness) {
  std::vector<Corner> result;
  const double sign = motion.determinant() < 0.0 ? -1.0 : 1.0;
  const bool keeps = motion.keeps_shape();
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const Corner& corner = corners[i];
    const bool bent = corner.bulge != 0.0 && (closed || i + 1 < corners.size());
    result.push_back({motion(corner.at), bent && keeps ? sign * corner.bulge : 0.0});
    if (!bent || keeps) continue;
    const Point to = corners[(i + 1) % corners.size()].at;
    const auto points = flattened(moved(arc_of(corner.at, to, corner.bulge), motion), flatness);
    for (std::size_t k = 1; k + 1 < points.size(); ++k) result.push_back({points[k], 0.0});
  }
  return result;
}

std::vector<Point> flattened(const EllipseArc& arc, double flatness) {
  const auto at = [&](double t) { return arc.centre + std::cos(t) * arc.u + std::sin(t) * arc.v; };
  std::vector<Point> points{at(arc.from)};
  // Quarters first: the middle of a whole turn would lie on the side from its start to its end.
  const int quarters = std::max(1, static_cast<int>(std::ceil((arc.to - arc.from) / (kPi / 2.0))));
  const double step = (arc.to - arc.from) / quarters;
  for (int k = 0; k < quarters; ++k) {
    const double from = arc.from + step * k;
    refine(at, {from, from + step, points.back(), at(from + step), 0}, flatness, points);
  }
  return points;
}

Point point_at(const Spline& spline, double t) {
  const auto degree = static_cast<std::size_t>(spline.degree);
  const auto& knots = spline.knots;
  std::size_t k = degree;  // the span knots[k] ≤ t < knots[k + 1]
  while (k + 1 < spline.points.size() && t >= knots[k + 1]) ++k;
  // De Boor's scheme on (w x, w y, w).
  std::vector<Point> p(degree + 1);
  std::vector<double> w(degree + 1);
  for (std::size_t j = 0; j <= degree; ++j) {
    w[j] = spline.weights[k - degree + j];
    p[j] = w[j] * spline.points[k - degree + j];
  }
  for (std::size_t r = 1; r <= degree; ++r) {
    for (std::size_t j = degree; j >= r; --j) {
      const std::size_t i = k - degree + j;
      const double width = knots[i + degree - r + 1] - knots[i];
      const double share = width > 0.0 ? (t - knots[i]) / width : 0.0;
      p[j] = between(p[j - 1], p[j], share);
      w[j] = w[j - 1] + share * (w[j] - w[j - 1]);
    }
  }
  return (1.0 / w[degree]) * p[degree];
}

std::vector<Point> flattened(const Spline& spline, double flatness) {
  const auto at = [&](double t) { return point_at(spline, t); };
  const auto degree = static_cast<std::size_t>(spline.degree);
  std::vector<Point> points{at(spline.knots[degree])};
  // Each knot span is one smooth piece.
  for (std::size_t k = degree; k < spline.points.size(); ++k) {
    const double from = spline.knots[k];
    const double to = spline.knots[k + 1];
    if (to > from) refine(at, {from, to, points.back(), at(to), 0}, flatness, points);
  }
  return points;
}

}  // namespace firstshot
