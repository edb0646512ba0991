// Shear viscosity of a melt as a function of shear rate, temperature and pressure.
//
// Cross law [Cross1965]:      η = η₀ / (1 + (η₀ γ̇ / τ*)^(1-n))
// Cross-WLF [HieberChiang1992]: η₀ = D1 exp(-A1 (T-T*) / (A2 + T - T*)), T* = D2 + D3 p, A2 = A2~ +
// D3 p Cross-exponential:          η₀ = B exp(Tb/T + β p) Newtonian, power law:       η = η_ref
// exp(-b (T-T_ref)),  η = K exp(-b (T-T_ref)) γ̇^(n-1)   (for checks)
//
// The WLF form is singular where A2~ + T - D2 = 0, near mould temperature. Callers never evaluate a
// law below the no-flow temperature (Material::no_flow_temperature).
#pragma once

#include <variant>

namespace firstshot {

struct CrossWlf {
  double n = 0.25;        ///< slope at high stress [-], 0 < n < 1
  double tau_star = 3e4;  ///< stress where thinning begins [Pa]
  double D1 = 5e10;       ///< [Pa s]
  double D2 = 373.15;     ///< [K]
  double D3 = 2e-7;       ///< pressure shift of the reference temperature [K/Pa]
  double A1 = 25.0;       ///< [-]
  double A2 = 61.0;       ///< A2~ [K]
};
struct CrossExponential {
  double n = 0.25;        ///< [-], 0 < n < 1
  double tau_star = 3e4;  ///< [Pa]
  double B = 1e-7;        ///< [Pa s]
  double Tb = 1e4;        ///< [K]
  double beta = 0.0;      ///< [1/Pa]
};
struct Newtonian {
  double eta_ref = 100.0;  ///< at T_ref [Pa s]
  double b = 0.0;          ///< [1/K]
  double T_ref = 493.15;   ///< [K]
};
struct PowerLaw {
  double K = 1e4;         ///< at T_ref [Pa s^n]
  double n = 0.3;         ///< [-], 0 < n ≤ 1
  double b = 0.0;         ///< of K [1/K]
  double T_ref = 493.15;  ///< [K]
};
using ViscosityLaw = std::variant<CrossWlf, CrossExponential, Newtonian, PowerLaw>;

/// Viscosity [Pa s] at shear rate [1/s] > 0, temperature [K] and pressure [Pa].
double viscosity(const ViscosityLaw& law, double shear_rate, double temperature, double pressure);

/// Zero-shear viscosity η₀ [Pa s]. For the power law, which has none, the factor of the reduced
/// form γ̇ = (τ*/η₀) x(τ/τ*) with τ* = 1 Pa and x(s) = s^(1/n), that is K^(1/n).
double zero_shear_viscosity(const ViscosityLaw& law, double temperature, double pressure);

/// Stress scale τ* of the reduced form [Pa]; 1 Pa for Newtonian and power law.
double stress_scale(const ViscosityLaw& law);

/// Slope n of the reduced form at high stress; 1 for Newtonian.
double flow_index(const ViscosityLaw& law);

/// The same law with every viscosity multiplied by `factor` at equal stress (shift of η₀).
ViscosityLaw scaled(const ViscosityLaw& law, double factor);

/// Temperature [K] at which η₀ reaches `eta` [Pa s] at zero pressure, by bisection between 300 K
/// and 700 K. 0 for laws whose η₀ stays below `eta` there and for the power law, which has none
/// (they never stop flowing).
double temperature_at_viscosity(const ViscosityLaw& law, double eta);

}  // namespace firstshot
