// A moulding material: laws, thermal data, the range in which they hold, and the source of each
// number.
#pragma once

#include <string>
#include <vector>

#include "solver/material/viscosity.hpp"

namespace firstshot {

/// Two-domain Tait equation of state [Zoller1995]:
/// v = v0(T) (1 - 0.0894 ln(1 + p/B(T))), melt for T > b5 + b6 p, glass below; v0 = b1 + b2 (T-b5),
/// B = b3 exp(-b4 (T-b5)). v in m³/kg, p gauge in Pa, T in K.
struct TaitPvt {
  double b1m = 9.72e-4, b2m = 5.44e-7, b3m = 1.6825e8, b4m = 4.08e-3;
  double b1s = 9.72e-4, b2s = 2.24e-7, b3s = 2.6151e8, b4s = 3.00e-3;
  double b5 = 373.15;  ///< [K]
  double b6 = 5.1e-7;  ///< [K/Pa]
};
/// Specific volume [m³/kg] at temperature [K] and gauge pressure [Pa].
double specific_volume(const TaitPvt& pvt, double temperature, double pressure);
/// Isothermal compressibility -(1/v) dv/dp [1/Pa].
double compressibility(const TaitPvt& pvt, double temperature, double pressure);

/// Heat capacity as straight lines between points, flat beyond the ends.
struct HeatCapacity {
  std::vector<double> temperature;  ///< rising [K], at least 1
  std::vector<double> value;        ///< [J/(kg K)] > 0, same length
  double at(double T) const;
};

struct Material {
  std::string name;   ///< card name, "hips-8"
  std::string grade;  ///< what it stands for, in words
  ViscosityLaw viscosity;
  double viscosity_band = 0.3;  ///< relative doubt of the viscosity at moulding shear rates [-]
  double no_flow_temperature =
      0.0;                      ///< below it a layer is solid [K]; 0 = flows at any temperature
  double density_melt = 970.0;  ///< at moulding temperature [kg/m³]
  double conductivity = 0.155;  ///< [W/(m K)]
  HeatCapacity heat_capacity;
  TaitPvt pvt;
  double ejection_temperature = 353.15;                             ///< [K]
  double melt_temperature_min = 0.0, melt_temperature_max = 1e4;    ///< valid range [K]
  double mould_temperature_min = 0.0, mould_temperature_max = 1e4;  ///< valid range [K]
  /// Usual depth of vents that keep melt back [m]: begin with the lower, flash above the upper.
  double vent_depth_min = 20e-6, vent_depth_max = 30e-6;
  double melt_flow_rate = 0.0;  ///< of the grade, 200 °C / 5 kg [g/10 min], 0 = not known
  bool fitted_to_melt_flow_rate = false;
  struct Source {
    std::string quantity, source;
  };
  std::vector<Source> sources;
};

}  // namespace firstshot
