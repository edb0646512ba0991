// Mass flow of air through a vent or the gap of a parting line: a wide slit of small depth, `land`
// long, from a pocket at absolute pressure p1 to the room at p2.
//
// The smaller of two laws:
//   isothermal laminar slit (Poiseuille with ρ = p/(R T)):  ṁ = w h³ (p1² - p2²) / (24 μ R T L),
//   isentropic orifice of the slit's area, γ = 1.4, choked below p2/p1 = 0.528 [Shapiro1953].
// The slit law alone promises too much once Re Dh/L exceeds about 10. Slip at the walls is left
// out: +2 % at a depth of 20 μm, +8 % at 5 μm.
#pragma once

namespace firstshot::air {

/// A slit that leads to the room.
struct Opening {
  double width = 0.0;  ///< along the edge [m]
  double depth = 0.0;  ///< [m]
  double land = 0.0;   ///< length of the slit up to a deep channel or the rim of the mould [m] > 0
};

/// w h³ / (24 L) [m³]; divided by μ it gives Kv with ṁ R T = Kv (p1² - p2²).
double slit_factor(const Opening& opening);

/// All [kg/s], pressures absolute [Pa]; 0 for p1 ≤ p2.
/// @param viscosity of air [Pa s] @param temperature of the metal [K]
double slit_outflow(const Opening& opening, double p1, double p2, double viscosity,
                    double temperature);
/// @param area [m²] @param temperature of the pocket [K]
double orifice_outflow(double area, double p1, double p2, double temperature);
/// The smaller one.
double vent_outflow(const Opening& opening, double p1, double p2, double wall_temperature,
                    double gas_temperature);

/// Pressure [Pa] of a pocket that is squeezed steadily at volume rate `flow` [m³/s] and vents
/// through the slit: p = (Q + √(Q² + 4 Kv² p2²))/(2 Kv).
double squeeze_pressure(double flow, double slit, double p2);

}  // namespace firstshot::air
