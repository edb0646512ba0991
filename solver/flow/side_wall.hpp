// Drag of the side walls on triangles: plain Hele-Shaw flow slips along them, so a square channel
// would carry 2.37 times too much.
//
//   u - (h²/10) ∇²u = h²/12,   u = 0 on side walls,   F = 12 u / h²  in (0, 1]
//
// F scales the local fluidity of a Newtonian melt (against exact ducts [ShahLondon1978]: square
// -0.7 %, 2:1 -0.2 %, 4:1 -0.1 %). A shear-thinning melt is hurt more: q(g) = (F/B) q_slit(B g)
// with B = F^0.7, fitted to power-law ducts of width/depth 1 to 10 and n from 0.75 to 0.25 within 1
// %. Not valid where the depth falls to zero at the rim (half round, triangle): such sections go in
// as 1D elements.
#pragma once

#include "mesh/model.hpp"

namespace firstshot {

/// F of each triangle (n_triangles) [-]. Sides on the border of the mesh are walls unless
/// Model::open_sides.
TriField<double> side_wall_factor(const Model& model);

/// B, the factor on the gradient of a shear-thinning melt [-].
double side_wall_gradient_factor(double side_wall_factor);

}  // namespace firstshot
