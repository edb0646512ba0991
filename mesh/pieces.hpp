// Which area, and which thickness, a place in the plane belongs to.
#pragma once

#include <vector>

#include "mesh/borders.hpp"
#include "mesh/plane.hpp"

namespace firstshot {

/// What fills a place: an area with its thickness there, or nothing.
struct Piece {
  int area = -1;           ///< index into Layout::areas, -1 for steel
  double thickness = 0.0;  ///< [m]
};

class PieceFinder {
 public:
  PieceFinder(const Layout& layout, const Borders& borders);

  /// Piece at a point that lies on no border. The last step that holds the point gives the
  /// thickness.
  /// @throws GeometryError when two areas cover the point, or a hole or step reaches outside its
  /// part.
  Piece at(Point p) const;

 private:
  struct Polygon {
    BorderLoop loop;
    std::vector<Point> points;
    Box box;
  };
  bool holds(const Polygon& polygon, Point p) const;

  const Layout& layout_;
  std::vector<Polygon> polygons_;  ///< by area: outline, holes, steps
};

}  // namespace firstshot
