// Drag and cooling of the side walls where both surfaces of the melt are known: channels of any
// section, ribs taller than wide, rims that run out to nothing.
//
// Along a channel under the gradient g the velocity is taken as v = (g/μ) φ (t - z)(z - b), between
// the upper surface t and the lower b, φ free over the plane. With chord h = t - b and middle m the
// best φ makes stationary
//   ½ ∫ [ h⁵/30 |∇φ|² + h⁴/6 φ ∇φ·∇h + φ² (h³|∇h|²/4 + h³|∇m|²/3 + h³/3) ] - ∫ φ h³/6,
// φ = 0 on upright side walls (Kantorovich's method; derived here). Exact for the slit, flat or
// sloping, and for circle and ellipse; by its nature never too much flow (rectangles -0.7 % square,
// -2.8 % 1:2, -6.9 % 1:4 taller than wide, taken back below). Per width in the plane the melt
// carries φ h³/6, so F = φ h³/6 over the slit of the wall's own thickness h cos α, on lifted
// lengths h³ cos² α / 12.
//
// B as in side_wall.hpp, from F smoothed across the channel; there F counts less where the depth is
// below the deepest place of the section, because a round section is hurt more than its F says.
// Thermal gap and contact: of the rectangle with the section's greatest depth M and the same F,
// slab_of_rectangle. F counts there with the weight F³ across the section: by its plain mean, the
// wall at the end of a channel, where the melt stands, reached two depths back and let a slug well
// cool in three quarters of its time.
#pragma once

#include "solver/flow/side_wall.hpp"

namespace firstshot {

/// @param model with a relief. Sides on the border of the mesh are walls unless they are in
/// Model::open_sides or the melt runs out to nothing there.
SideWall relief_wall(const Model& model);

}  // namespace firstshot
