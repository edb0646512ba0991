// Where one more gate could reach a part of a layout: straight from a runner to the outer rim,
// square to it or nearly so, through no other area and clear of the gates that are there.
#pragma once

#include <vector>

#include "mesh/layout.hpp"

namespace firstshot {

struct GatePlace {
  Point from;           ///< on the line of a runner [m]
  Point to;             ///< on the outline of the area [m]
  double length = 0.0;  ///< [m]
};

/// @param longest of the new gate [m] @param width of it [m] > 0 @return the shortest first, one
/// for each width of rim at most
std::vector<GatePlace> gate_places(const Layout& layout, const Area& area, double longest,
                                   double width);

}  // namespace firstshot
