#include "mesh/pieces.hpp"

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"

namespace firstshot {

PieceFinder::PieceFinder(const Layout& layout, const Borders& borders) : layout_(layout) {
  for (const BorderLoop& loop : borders.loops) {
    if (loop.kind == BorderKind::mouth) continue;
    Polygon polygon{loop, {}, {}};
    for (const int p : loop.points) {
      polygon.points.push_back(borders.points[p]);
      polygon.box.add(borders.points[p]);
    }
    polygons_.push_back(std::move(polygon));
  }
}

bool PieceFinder::holds(const Polygon& polygon, Point p) const {
  return polygon.box.holds(p, 0.0) && contains(polygon.points, p);
}

Piece PieceFinder::at(Point p) const {
  Piece piece;
  bool inside = false;
  bool in_hole = false;
  for (const Polygon& polygon : polygons_) {
    const bool held = holds(polygon, p);
    if (polygon.loop.kind == BorderKind::outline) {
      inside = held;
      in_hole = false;
    } else if (held && !inside) {
      throw GeometryError(loop_name(layout_, polygon.loop) +
                              " reaches outside the part's outline; it must lie inside",
                          p.x, p.y);
    }
    if (!held) continue;
    const Area& area = layout_.areas[polygon.loop.area];
    if (polygon.loop.kind == BorderKind::outline) {
      // Whether the place is kept by this area is known after its holes, which come next.
      bool holed = false;
      for (const Polygon& hole : polygons_) {
        holed = holed || (hole.loop.area == polygon.loop.area &&
                          hole.loop.kind == BorderKind::hole && holds(hole, p));
      }
      in_hole = holed;
      if (holed) continue;
      if (piece.area >= 0) {
        throw GeometryError(entry_name(layout_.areas[piece.area]) + " and " + entry_name(area) +
                                " overlap; areas may touch but not cover each other",
                            p.x, p.y);
      }
      piece = {polygon.loop.area, area.thickness};
    } else if (polygon.loop.kind == BorderKind::step && !in_hole) {
      piece.thickness = area.steps[polygon.loop.item].thickness;
    }
  }
  return piece;
}

}  // namespace firstshot
