// Models made by hand, on structured meshes, so that checks of the solver do not lean on the
// mesher.
#pragma once

#include <vector>

#include "mesh/model.hpp"
#include "solver/setup.hpp"

namespace firstshot::sample {

/// Strip 0 … length × 0 … width of nx × ny cells, each cut into two triangles with the diagonals
/// taking turns; the whole side x = 0 is one open mouth fed by the injection. Side walls carry no
/// drag when `slip` (all borders open).
Model strip(double length, double width, double thickness, int nx, int ny, bool slip = true);

/// Sector of a disc, `angle` [rad] wide, of rings × 8 cells around a mouth of radius r0, all
/// borders open.
Model sector(double r0, double radius, double thickness, int rings, double angle);

/// One straight channel of n elements.
Model channel(const Section& section, double length, int n);

/// Trunk, then two branches, all round: diameters and lengths in that order, n elements each.
Model runner_tree(const std::vector<double>& diameter, const std::vector<double>& length, int n);

/// Isothermal filling at constant flow [m³/s], no compliance, no entrance loss, no switch-over
/// before the end.
Setup isothermal_fill(Model model, const ViscosityLaw& law, double flow, int volume_steps);

}  // namespace firstshot::sample
