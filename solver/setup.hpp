// What a run needs, built and checked, in SI units: geometry, material, press, process, accuracy.
// Made once by io/build_setup (or directly in a test) and passed const&.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mesh/model.hpp"
#include "mesh/side_walls.hpp"
#include "solver/material/blend.hpp"
#include "solver/material/cost_rates.hpp"
#include "solver/material/ejection.hpp"
#include "solver/material/material.hpp"
#include "solver/material/mould.hpp"

namespace firstshot {

struct Press {
  std::string name;
  double screw_diameter = 30e-3;     ///< [m]
  double stroke_max = 110e-3;        ///< [m]
  double speed_max = 0.2;            ///< of the screw [m/s]
  double melt_pressure_max = 180e6;  ///< ahead of the screw [Pa]
  double intensification = 10.0;     ///< melt pressure / hydraulic gauge pressure [-]
  double clamp_force = 600e3;        ///< [N]
  double nozzle_volume =
      5e-6;                ///< melt ahead of the screw at the end of stroke (cushion, nozzle) [m³]
  double dry_cycle = 2.0;  ///< [s]
  double plasticising_rate = 10e-3;  ///< [kg/s]
  double barrel_volume = 0.0;        ///< melt along the screw [m³]; 0: twice the largest shot
};

/// From this share of the shot volume on, the screw displaces this much.
struct SpeedStep {
  double from_share = 0.0;  ///< [-] 0 … 1, rising
  double flow_rate = 0.0;   ///< [m³/s] > 0
};
struct HoldingStep {
  double pressure = 0.0;  ///< melt pressure at the injection point [Pa]
  double duration = 0.0;  ///< [s]
};
/// Holding is followed for so long at most [s].
inline constexpr double longest_holding = 240.0;
enum class SwitchOverKind { volume, position, time, pressure };
struct SwitchOver {
  SwitchOverKind kind = SwitchOverKind::volume;
  double value =
      0.98;  ///< share of the cavity volume [-], screw position [m], time [s] or pressure [Pa]
};

struct Process {
  double melt_temperature = 493.15;          ///< at the injection point [K]
  double mould_temperature_fixed = 313.15;   ///< surface, half with the sprue [K]
  double mould_temperature_moving = 313.15;  ///< surface, other half [K]
  std::vector<SpeedStep> speed;              ///< first entry from 0
  double injection_pressure_max = 0.0;  ///< limit set at the press, ≤ press.melt_pressure_max [Pa]
  /// Constant pressure at the injection point instead of a speed when > 0 (for checks) [Pa].
  double constant_pressure = 0.0;
  SwitchOver switch_over;
  std::vector<HoldingStep>
      holding;  ///< empty: half of the pressure at switch-over (common practice)
  double contact_conductance = 1e4;  ///< melt to mould surface [W/(m² K)]; 0 = insulated
  double entrance_length =
      3.0;  ///< extra length at a narrowing, in radii 2A/P of the smaller section [-]
  bool barrel_compressible = true;  ///< melt ahead of the screw gives way
  double time_limit = 30.0;         ///< end of the attempt to fill [s]
};

/// The air that the melt drives out: how it leaves, and when it is hot.
struct AirSettings {
  bool enabled = false;                ///< false: air at `gas_pressure` everywhere, never caught
  double parting_line_gap = 5e-6;      ///< all along the outer rims and channels [m]
  double parting_line_land = 5e-3;     ///< length of that gap [m]
  double vent_depth_factor = 1.0;      ///< on the depth of vents as the air finds them [-]
  double smallest_pocket = 0.0;        ///< less than this is carried along in the melt [m³]
  double scorch_temperature = 623.15;  ///< [K]
  double scorch_time = 5e-3;           ///< above it [s]
  double pressure_limit = 1e6;         ///< gauge, what a proposed vent must keep to [Pa]
  std::vector<Vent> vents;
};

struct Accuracy {
  std::string level = "default";
  int layers = 20;          ///< per half gap
  int volume_steps = 120;   ///< a step brings at most 1/volume_steps of the cavity volume …
  double tolerance = 0.02;  ///< change of fluidity at which a step's iteration stops [-]
  int snapshots = 25;       ///< per run
};

/// The shop's own limits for the verdict.
struct Limits {
  double pressure_share = 0.8;    ///< of the injection pressure that the press is set to [-]
  double clamp_share = 0.9;       ///< of the clamp force [-]
  double fill_time_spread = 0.3;  ///< first to last part full, of the fill time [-]
  double side_weight = 0.05;  ///< difference of two sides of the injection point, of the shot [-]
  std::optional<double> gate_shear_rate;  ///< of the melt in a gate [1/s]; none: no rule
  double weld_cooling = 20.0;     ///< of melt at a visible weld line below melt temperature [K]
  double residence_time = 300.0;  ///< of the melt in the barrel [s]
  double regrind = 0.2;           ///< share of the blend [-]
  double draft = 1.0;             ///< least of side walls [deg]
};

struct Setup {
  std::string title;
  Model model;
  Material material;
  Press press;
  Process process;
  Accuracy accuracy;
  AirSettings air;
  Limits limits;
  std::vector<EjectorPin> ejectors;
  std::vector<SideWalls> walls;  ///< of parts; empty for a layout
  Cooling cooling;
  Release release;
  Mould mould;
  Blend blend;
  std::optional<CostRates> cost;
  double gas_pressure = 0.0;  ///< of the air ahead of the front, gauge [Pa]
  bool isothermal = false;    ///< melt stays at melt temperature (for checks)
};

}  // namespace firstshot
