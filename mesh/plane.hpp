// Arithmetic of points in the parting plane. All lengths in m.
#pragma once

#include <algorithm>
#include <cmath>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

inline Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
inline Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
inline Point operator*(double s, Point a) { return {s * a.x, s * a.y}; }
inline double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
/// Twice the area of the triangle 0, a, b; positive when b lies to the left of a.
inline double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
inline double norm(Point a) { return std::sqrt(dot(a, a)); }
inline double distance(Point a, Point b) { return norm(b - a); }
/// The vector turned by 90° to the left.
inline Point turned_left(Point a) { return {-a.y, a.x}; }
inline Point between(Point a, Point b, double s) { return a + s * (b - a); }

/// Nearest point of a side to some other point.
struct Foot {
  double share = 0.0;     ///< 0 at the side's start, 1 at its end
  Point at;               ///< [m]
  double distance = 0.0;  ///< [m]
};
inline Foot foot_on(Point a, Point b, Point p) {
  const Point ab = b - a;
  const double squared = dot(ab, ab);
  const double share = squared > 0.0 ? std::clamp(dot(p - a, ab) / squared, 0.0, 1.0) : 0.0;
  const Point at = between(a, b, share);
  return {share, at, distance(at, p)};
}

/// Upright rectangle that holds points.
struct Box {
  Point low{1e300, 1e300};
  Point high{-1e300, -1e300};
  void add(Point p) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  bool holds(Point p, double margin) const {
    return p.x >= low.x - margin && p.x <= high.x + margin && p.y >= low.y - margin &&
           p.y <= high.y + margin;
  }
};

}  // namespace firstshot
