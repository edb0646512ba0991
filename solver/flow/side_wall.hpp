// Drag of the side walls on triangles: plain Hele-Shaw flow slips along them, so a square channel
// would carry 2.37 times too much.
//
//   u - (h²/10) ∇²u = h²/12,   u = 0 on side walls,   F = 12 u / h²  in (0, 1]
//
// F scales the local fluidity of a Newtonian melt (against exact ducts [ShahLondon1978]: square
// -0.7 %, 2:1 -0.2 %, 4:1 -0.1 %, 1:2 -2.8 %, 1:4 -6.9 % before the mesh adds its own). A
// shear-thinning melt is hurt more: q(g) = (F/B) q_slit(B g), where B belongs to the channel and
// not to the place in it, so it is taken from F smoothed across the channel:
//
//   φ - (0.7 h)² ∇²φ = F, no flux through walls,   B = φ^min(0.46 + 0.35 φ, 0.7)
//
// The four numbers are fitted to power-law ducts of width/depth 1/4 to 10 and n from 0.75 to 0.25
// (own finite-element values): pressure within 4.2 %. Not valid where the depth falls to zero at
// the rim (half round, triangle): solids go through relief_wall.hpp, drawn sections in as 1D
// elements.
#pragma once

#include "mesh/model.hpp"

namespace firstshot {

struct SideWall {
  TriField<double> factor;           ///< F (n_triangles) [-], in (0, 1]
  TriField<double> gradient_factor;  ///< B (n_triangles) [-], in (0, 1]
  /// Gap of the slab that cools like the place (n_triangles) [m]; empty: the thickness itself.
  TriField<double> thermal_gap;
  /// Contact of that slab with the mould over the wall's (n_triangles) [-]; empty: 1.
  TriField<double> contact;
};

/// With a relief (a solid) see relief_wall.hpp. Sides on the border of the mesh are walls unless
/// they are in Model::open_sides.
SideWall side_wall(const Model& model);

}  // namespace firstshot
