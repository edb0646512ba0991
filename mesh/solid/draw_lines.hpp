// Lines along the draw through a closed surface: where each enters and leaves the melt.
//
// Going up a line, a triangle that faces down adds one to the winding number and one that faces up
// takes one away; the melt is where it is above zero. So closed shells that overlap are their
// union, and a void is none of it. Triangles are sorted into square cells of the plane. A line
// through an edge is given to one of its two triangles by the sign of an area computed from the
// edge's ends in a fixed order, the same for both.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "mesh/plane.hpp"
#include "mesh/solid/shell.hpp"

namespace firstshot {

/// Melt on one line along the draw.
struct DrawColumn {
  double lower = 0.0, upper = 0.0;  ///< first entry and last exit [m]
  int intervals = 0;                ///< stretches of melt; 0 beside the solid
  double gap = 0.0;                 ///< total length without melt between lower and upper [m]
  double gap_middle = 0.0;          ///< height of the middle of the longest such gap [m]
  bool holds() const { return intervals > 0; }
  double chord() const { return upper - lower; }
  double middle() const { return 0.5 * (upper + lower); }
};

class DrawLines {
 public:
  /// @param shell checked, in the frame of the draw; must outlive this
  explicit DrawLines(const Shell& shell);

  /// Stretches of melt shorter than a millionth of the solid's diagonal, and gaps as short, do not
  /// count.
  DrawColumn at(Point p) const;

  const Box& box() const { return box_; }

 private:
  struct Hit {
    double z;
    int step;
  };
  template <class Visit>
  void visit_cells(const std::array<Point, 3>& corners, const Visit& visit) const;
  void collect(Point p, std::vector<Hit>& hits) const;
  std::int32_t column_of(double x) const;
  std::int32_t row_of(double y) const;

  const Shell& shell_;
  Box box_;
  double least_ = 0.0;  ///< shortest stretch that counts [m]
  double cell_ = 1.0;
  std::int32_t nx_ = 1, ny_ = 1;
  std::vector<std::int64_t> start_;  ///< (cells + 1) into list_
  std::vector<std::int32_t> list_;   ///< triangles
};

}  // namespace firstshot
