// Curves of a drawing under motions of the plane: moved, turned, scaled, mirrored. Circles and arcs
// stay what they are as long as the motion keeps their shape; ellipses, splines and arcs that are
// scaled unevenly become short straight sides.
#pragma once

#include <numbers>
#include <vector>

#include "mesh/layout.hpp"
#include "mesh/plane.hpp"

namespace firstshot {

/// p → origin + p.x u + p.y v.
struct Motion {
  Point u{1.0, 0.0};
  Point v{0.0, 1.0};
  Point origin;
  Point operator()(Point p) const { return origin + p.x * u + p.y * v; }
  double determinant() const { return cross(u, v); }
  /// Whether circles stay circles.
  bool keeps_shape() const;
};
/// First `inner`, then `outer`.
Motion operator*(const Motion& outer, const Motion& inner);

/// Part of an ellipse: centre + cos t u + sin t v for t from `from` to `to`.
struct EllipseArc {
  Point centre;
  Point u, v;  ///< half axes, conjugate after an uneven motion
  double from = 0.0;
  double to = 2.0 * std::numbers::pi;  ///< [rad], more than `from`
};

/// Rational B-spline; weights 1 give a plain one.
struct Spline {
  int degree = 3;               ///< 1 to 11
  std::vector<double> knots;    ///< (n + degree + 1), not falling
  std::vector<Point> points;    ///< (n), n > degree
  std::vector<double> weights;  ///< (n) > 0
};

EllipseArc moved(const EllipseArc& arc, const Motion& motion);
Spline moved(const Spline& spline, const Motion& motion);

/// The path after the motion. Bulges stay when the motion keeps shapes (they change sign in a
/// mirror), else arcs become straight sides. @param flatness largest distance from the curve > 0
std::vector<Corner> moved(const std::vector<Corner>& corners, bool closed, const Motion& motion,
                          double flatness);

/// Points from the first to the last end, both included.
std::vector<Point> flattened(const EllipseArc& arc, double flatness);
std::vector<Point> flattened(const Spline& spline, double flatness);

/// Point of a spline at a parameter between its first and last usable knot.
Point point_at(const Spline& spline, double t);

}  // namespace firstshot
