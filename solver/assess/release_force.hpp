// The force that pulls a part off its cores, and what ejector pins can push before they dent it.
//
// Plastic wants to shrink by the strain ε between the pressure at which it turned to glass and the
// opening of the mould; steel inside it does not let it. A ring of inner radius a and outer radius
// b around a stiff core presses on it with (Lamé's thick ring, derived here)
//
//   p = E ε / ((b² + a²)/(b² - a²) + ν)  →  E ε/(1 + ν)  where much plastic surrounds little steel
//
// and a wall of area A with draft α slides when it is pushed along the draw with (balance of the
// forces on the wall, derived here)
//
//   F = A p (μ cos α - sin α), none where tan α ≥ μ.
//
// a is the mean of the part's openings, b² that with an equal share of its area around each; blind
// pockets take the upper bound of p. A pin pushes until the plastic under it yields, σ π d²/4, or
// it punches through the wall, (σ/√3) π d h; gates carry (σ/√3) of their section. The pin's own
// buckling is not looked at: its free length is not known.
//
// How sure: E, μ and σ at ejection are from memory; with E from half to one and a half times, μ
// likewise, the force is known from a quarter to twice and a bit (force_low, force_high). Left out:
// vacuum under deep parts, walls that bend away (a U is softer than a ring), the pull between parts
// through the runners, and relaxation near the glass temperature, which only helps.
#pragma once

#include "solver/assess/cycle.hpp"
#include "solver/assess/ejection_figures.hpp"
#include "solver/assess/hold_figures.hpp"

namespace firstshot {

/// Pressure on the core per strain [Pa]. @param ring a²/(b² - a²) ≥ 0 [-], 0: much plastic around
double grip_stiffness(double modulus, double ring);
/// Push along the draw per area and pressure [-] of a wall with draft [deg].
double slide_share(double friction, double draft_deg);
/// What a pin can push with [N]. @param wall under it [m]
double pin_push(double strength, double diameter, double wall);
/// Free linear strain [-] between glass and the mean temperature at opening [K] of a part that
/// shrinks by `linear` down to room temperature.
double strain_at_opening(const TaitPvt& pvt, double linear, double temperature);

/// Adds strain, forces and pushes to the parts that hold on to steel.
void add_release_forces(const Setup& setup, const HoldResult& hold, const CycleResult& cycle,
                        EjectionFigures& figures);

}  // namespace firstshot
