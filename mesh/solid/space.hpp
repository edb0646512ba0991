// Arithmetic of points in space. All lengths in m.
#pragma once

#include <algorithm>
#include <cmath>

#include "mesh/model.hpp"

namespace firstshot {

inline Point3 operator-(const Point3& a, const Point3& b) {
  return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Point3 cross(const Point3& a, const Point3& b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double dot(const Point3& a, const Point3& b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
inline double norm(const Point3& a) { return std::sqrt(dot(a, a)); }

/// Upright box that holds points.
struct Box3 {
  Point3 low{1e300, 1e300, 1e300}, high{-1e300, -1e300, -1e300};
  void add(const Point3& p) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y), std::min(low.z, p.z)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y), std::max(high.z, p.z)};
  }
  double diagonal() const { return norm(high - low); }
  bool holds(const Box3& b) const {
    return b.low.x >= low.x && b.low.y >= low.y && b.low.z >= low.z && b.high.x <= high.x &&
           b.high.y <= high.y && b.high.z <= high.z;
  }
};

}  // namespace firstshot
