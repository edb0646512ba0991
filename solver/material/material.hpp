// A moulding material: laws, thermal data, the range in which they hold, and the source of each
// number.
#pragma once

#include <string>
#include <vector>

#include "solver/material/tait.hpp"
#include "solver/material/viscosity.hpp"

namespace firstshot {

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
