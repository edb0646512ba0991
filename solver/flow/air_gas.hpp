// Dry air as a frozen mixture of nitrogen, oxygen and argon, ideal, with a heat capacity that rises
// with temperature: the gas that melt traps in a cavity.
//
// Heat capacity, enthalpy and entropy are the 7-coefficient polynomials of the NASA form, two
// ranges meeting at 1000 K [McBrideGordonReno1993] (coefficients from memory, unconfirmed; compared
// in the tests with heat capacities computed elsewhere). Range 200 to 3500 K; without dissociation,
// so the figures mean little above 2000 K. Viscosity after [Sutherland1893]; thermal diffusivity
// grows with T^1.75 and falls with pressure.
#pragma once

namespace firstshot::air {

constexpr double gas_constant = 287.05;     ///< of dry air [J/(kg K)]
constexpr double room_pressure = 101325.0;  ///< what gauge pressures count from [Pa]

double heat_capacity(double temperature);  ///< at constant pressure [J/(kg K)]
/// Enthalpy above that at 0 K of the polynomial, only differences mean something [J/kg].
double enthalpy(double temperature);
/// Temperature part of the entropy, ∫ cp dT/T [J/(kg K)]; only differences mean something.
double entropy(double temperature);

/// Temperature after compression without heat loss from `temperature`, at pressure ratio
/// `ratio` > 0 [K].
double adiabatic_temperature(double temperature, double ratio);

double viscosity(double temperature);  ///< [Pa s]
/// Thermal diffusivity [m²/s] at absolute pressure [Pa].
double diffusivity(double temperature, double pressure);

/// Temperature after a step in which the pressure goes from `before` to `after` (absolute, its
/// logarithm evenly in time) while heat is lost to walls at `wall` [K] with time constant
/// `tau_over_dt` = τ/Δt: exact for an even rate of heating, so it holds both limits for any step,
/// adiabatic for τ ≫ Δt and isothermal for τ ≪ Δt.
double temperature_after(double temperature, double before, double after, double wall,
                         double tau_over_dt);

}  // namespace firstshot::air
