// The case as a setter enters it at a press: temperatures of the barrel's zones, speeds over screw
// positions, switch-over, holding steps, both as melt and as hydraulic pressure.
//
// Screw positions count from the foremost one, as most controls show them: dosing stops at
// shot + cushion, injection runs down to the cushion. Starting values, marked so: zone profile,
// back pressure, screw speed, clamp force (common practice, no source).
#pragma once

#include <vector>

#include "solver/assess/cycle.hpp"

namespace firstshot {

/// The same pressure at both gauges.
struct GaugePair {
  double melt = 0.0;       ///< ahead of the screw [Pa]
  double hydraulic = 0.0;  ///< melt / intensification [Pa]
};

struct ScrewSpeedStep {
  double from = 0.0, to = 0.0;  ///< screw position [m]
  double speed = 0.0;           ///< [m/s]
  double flow_rate = 0.0;       ///< [m³/s]
};
struct HoldingSetting {
  GaugePair pressure;
  double duration = 0.0;  ///< [s]
};

struct PressSettings {
  std::vector<double> zones;      ///< hopper end first, nozzle last [K]
  double melt_temperature = 0.0;  ///< to be measured in the open [K]
  double dosing_position = 0.0, switch_over_position = 0.0, cushion = 0.0;  ///< [m]
  std::vector<ScrewSpeedStep> speeds;
  GaugePair injection_limit, peak;  ///< set limit; what the forecast takes
  GaugePair back_pressure_low, back_pressure_high;
  double screw_speed_low = 0.0, screw_speed_high = 0.0;  ///< [1/s]
  std::vector<HoldingSetting> holding;
  double cooling_time = 0.0;                         ///< after holding [s]
  double clamp_force = 0.0;                          ///< [N]
  double surface_fixed = 0.0, surface_moving = 0.0;  ///< of the mould [K]
};

/// @param peak_pressure, opening_force largest of the run [Pa], [N]
PressSettings press_settings(const Setup& setup, const CycleResult& cycle, const State& state,
                             double peak_pressure, double opening_force);

}  // namespace firstshot
