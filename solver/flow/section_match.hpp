// Runners of a solid carry what their sections carry.
//
// Triangles across a channel sum the flow of strips of it; what the strips lack is 1 to 9 % of
// pressure, by the mesh and by a fit for shear thinning (side_wall.hpp), four times that in flow
// of a melt with n = 1/4. Where a section across a runner (channel_tree.hpp) is one of the kinds
// that channels are drawn in, the flow of that section is known (section_flow.hpp), as is its
// slowest way of cooling: F and B of its triangles are multiplied by what makes the sum exact at n
// = 1 and n = 1/4, and it cools as the section does.
//
// Joints, bends and ends are no sections: they take F and B of the channel beside them, and keep
// their own way of cooling. Other kinds of sections keep all.
#pragma once

#include "solver/flow/side_wall.hpp"

namespace firstshot {

/// @param model with a relief @param wall of that model, changed in its runners
void match_sections(const Model& model, SideWall& wall);

}  // namespace firstshot
