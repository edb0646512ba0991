// A flat drawing as lines on named layers, before anyone knows what the lines mean. The reader of
// drawing files fills it, mesh/drawing_layout gives it meaning. SI units.
#pragma once

#include <string>
#include <vector>

#include "mesh/layout.hpp"

namespace firstshot {

/// A chain of straight sides and arcs; corners as in PolygonShape. When it is open the bulge of the
/// last corner means nothing.
struct DrawnPath {
  std::string layer;
  std::vector<Corner> corners;  ///< at least 2, no two the same in a row
  bool closed = false;
  Origin origin;
};
struct DrawnCircle {
  std::string layer;
  CircleShape circle;
  Origin origin;
};
struct DrawnPoint {
  std::string layer;
  Point at;
  Origin origin;
};

struct Drawing {
  std::vector<DrawnPath> paths;
  std::vector<DrawnCircle> circles;
  std::vector<DrawnPoint> points;
};

/// The path traversed the other way.
std::vector<Corner> reversed(const std::vector<Corner>& open_path);

}  // namespace firstshot
