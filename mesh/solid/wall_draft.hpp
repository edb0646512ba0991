// Draft of a solid's side walls: the angle between each facet and the draw, and on which side of
// the wall the steel is.
//
// A facet is a side wall when it makes less than 45° with the draw. What lies inside another shell
// is no wall. A wall holds the part on steel ("core") when what it looks at is
//   - an opening through the plate that only this part surrounds, or
//   - across steel at the same height, the same part again: a blind pocket, a cup, the legs of a U.
// The others look at steel that the part shrinks away from ("outer"). Walls are judged in pieces of
// half a millimetre, each by its middle; where shells overlap with faces in one plane, both count.
#pragma once

#include <functional>
#include <vector>

#include "mesh/side_walls.hpp"
#include "mesh/solid/column_grid.hpp"

namespace firstshot {

/// Region at a place of the plane, -1 where there is none.
using RegionAt = std::function<std::int32_t(Point)>;

/// @param shell checked, in the frame of the draw; `lines` and `columns` of the same
/// @return one entry for each region with role part that has side walls, in the order of `regions`
std::vector<SideWalls> wall_drafts(const Shell& shell, const DrawLines& lines,
                                   const ColumnGrid& columns, const std::vector<Region>& regions,
                                   const RegionAt& region_at);

}  // namespace firstshot
