// What the shot asks of the plasticising unit: stroke, time to melt the next shot, time that melt
// stays hot.
#pragma once

#include "solver/setup.hpp"

namespace firstshot {

struct BarrelFigures {
  double shot_volume = 0.0;    ///< of melt in the barrel [m³]
  double cushion = 0.0;        ///< left ahead of the screw, as a length of stroke [m]
  double dosing_stroke = 0.0;  ///< shot and cushion [m]
  double stroke_share = 0.0;   ///< of the shot alone in the longest stroke [-]
  double recovery = 0.0;       ///< time to plasticise the next shot [s]
  double content = 0.0;        ///< melt along the screw and ahead of it [m³]
  double residence = 0.0;      ///< of melt from hopper to nozzle [s]; 0 until the cycle is known
};

/// Cushion: 5 % of the stroke, at least 3 mm (common practice, no source). Content along the screw
/// when the press does not say: twice the largest shot (common practice, no source; 1.5 to 3).
/// @param mass of the shot [kg] @param cycle [s]
BarrelFigures barrel_figures(const Press& press, const Material& material, double mass,
                             double cycle);

/// Cross section of the screw [m²].
double screw_area(const Press& press);

}  // namespace firstshot
