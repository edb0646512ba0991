// Heat from the wall of a bore into the water that runs through it.
//
//   laminar, Re ≤ 2300:    Nu = 3.66 (developed, wall at one temperature) [ShahLondon1978]
//   turbulent, Re ≥ 4000:  Nu = (f/8)(Re - 1000) Pr / (1 + 12.7 √(f/8) (Pr^(2/3) - 1)),
//                          f = (0.79 ln Re - 1.64)^-2 [Gnielinski1976]
//   between:               straight between both [Gnielinski2013]
//
// Valid for smooth, long bores, 0.5 ≤ Pr ≤ 2000, Re ≤ 5·10⁶; scale on the wall is not counted.
#pragma once

namespace firstshot {

/// Water at one temperature; straight lines between handbook points at 5 … 95 °C.
struct Water {
  double density = 0.0;        ///< [kg/m³]
  double heat_capacity = 0.0;  ///< [J/(kg K)]
  double viscosity = 0.0;      ///< [Pa s]
  double conductivity = 0.0;   ///< [W/(m K)]
  double prandtl() const { return viscosity * heat_capacity / conductivity; }
};
/// @param temperature [K]; taken as 5 or 95 °C beyond that range
Water water(double temperature);

/// Turbulent Nusselt number for a given friction factor f (Darcy) [-].
double nusselt_turbulent(double reynolds, double prandtl, double friction);
/// Nusselt number of a smooth bore at any Reynolds number [-].
double nusselt(double reynolds, double prandtl);

struct BoreFlow {
  double velocity = 0.0;     ///< [m/s]
  double reynolds = 0.0;     ///< [-]
  double nusselt = 0.0;      ///< [-]
  double conductance = 0.0;  ///< wall to water [W/(m² K)]
};
/// @param diameter [m] > 0 @param flow_rate [m³/s] > 0 @param temperature of the water [K]
BoreFlow bore_flow(double diameter, double flow_rate, double temperature);

}  // namespace firstshot
