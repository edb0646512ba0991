// Specific volume of a polymer by temperature and pressure: two-domain Tait equation of state
// [Zoller1995], melt above and glass below the transition.
//
//   v = v0(T) (1 - C ln(1 + p/B(T))),   v0 = b1 + b2 (T - b5),   B = b3 exp(-b4 (T - b5))
//   melt for T > b5 + b6 p, glass below; C = 0.0894 for all polymers
//
// v in m³/kg, p gauge in Pa, T in K. It holds at rest and in equilibrium: a fast cooled glass is up
// to half a per cent larger, and amorphous polymers only (no volume of crystals). Published for
// 20 to 260 °C and up to 200 MPa; below zero pressure it is not defined.
#pragma once

namespace firstshot {

struct TaitPvt {
  double b1m = 9.72e-4, b2m = 5.44e-7, b3m = 1.6825e8, b4m = 4.08e-3;
  double b1s = 9.72e-4, b2s = 2.24e-7, b3s = 2.6151e8, b4s = 3.00e-3;
  double b5 = 373.15;  ///< [K]
  double b6 = 5.1e-7;  ///< [K/Pa]
};

/// Transition temperature b5 + b6 p [K].
double transition_temperature(const TaitPvt& pvt, double pressure);
/// Specific volume [m³/kg] at temperature [K] and gauge pressure [Pa] ≥ 0.
double specific_volume(const TaitPvt& pvt, double temperature, double pressure);
/// Isothermal compressibility -(1/v) dv/dp [1/Pa].
double compressibility(const TaitPvt& pvt, double temperature, double pressure);
/// Expansion (1/v) dv/dT at constant pressure [1/K].
double expansion(const TaitPvt& pvt, double temperature, double pressure);

/// One domain at one temperature: volume as a function of pressure alone, smooth.
struct TaitBranch {
  double v0 = 0.0;  ///< [m³/kg]
  double B = 0.0;   ///< [Pa]
};
/// The domain that temperature [K] and pressure [Pa] lie in, at that temperature.
TaitBranch tait_branch(const TaitPvt& pvt, double temperature, double pressure);

/// Density on a branch and its slope with pressure.
struct TaitDensity {
  double density = 0.0;  ///< [kg/m³]
  double slope = 0.0;    ///< dρ/dp [kg/(m³ Pa)] > 0
};
TaitDensity density_at(const TaitBranch& branch, double pressure);

/// Free linear shrinkage 1 - (v(T_room, 0)/v)^(1/3) [-] of melt that turns to glass under pressure
/// [Pa] and ends cold and free at `room` [K]; below 0 when pressure more than makes up for cooling.
double linear_shrinkage_from_glass(const TaitPvt& pvt, double pressure, double room);

}  // namespace firstshot
