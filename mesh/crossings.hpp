// Where sides of the border graph touch or cross each other, and which crossings a drawing may
// have.
#pragma once

#include <vector>

#include "mesh/borders.hpp"
#include "mesh/segment_grid.hpp"

namespace firstshot {

/// Two sides that cross between their ends.
struct Crossing {
  int side = 0, other = 0;  ///< numbers in border_sides
  Point at;                 ///< [m]
};

/// The sides in cells, under their numbers.
SegmentGrid grid_of(const Borders& borders, const std::vector<BorderSide>& sides);

/// For each side, the graph's points that lie on it within the snap tolerance but are not its ends.
std::vector<Insertion> points_on_sides(const Borders& borders, const std::vector<BorderSide>& sides,
                                       const SegmentGrid& grid);

/// All pairs of sides that cross, once no point lies on a foreign side.
std::vector<Crossing> find_crossings(const Borders& borders, const std::vector<BorderSide>& sides,
                                     const SegmentGrid& grid);

/// Holes and steps of one area may cross each other (a hole drilled across a ledge), and mouths may
/// cross anything. @throws GeometryError for every other crossing, naming the sides or the areas.
void refuse_crossing(const Layout& layout, const Borders& borders,
                     const std::vector<BorderSide>& sides, const Crossing& crossing);

}  // namespace firstshot
