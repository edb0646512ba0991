// Straight sides sorted into square cells, to find those near a place without looking at all of
// them.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "mesh/plane.hpp"

namespace firstshot {

class SegmentGrid {
 public:
  /// @param segments ends of each side [m]
  explicit SegmentGrid(std::vector<std::array<Point, 2>> segments);

  /// Numbers of all sides that come within `margin` [m] of the line a → b, in rising order, perhaps
  /// with some more that do not. `found` is overwritten.
  void near(Point a, Point b, double margin, std::vector<int>& found) const;

  const std::array<Point, 2>& ends(int segment) const { return segments_[segment]; }

 private:
  template <class Visit>
  void visit_cells(Point a, Point b, double margin, const Visit& visit) const;

  std::vector<std::array<Point, 2>> segments_;
  Point low_;
  double cell_ = 1.0;
  std::int32_t nx_ = 1, ny_ = 1;
  std::vector<std::int32_t> start_;  ///< (cells + 1) into list_
  std::vector<std::int32_t> list_;
};

}  // namespace firstshot
