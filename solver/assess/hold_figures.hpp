// What holding has left: weight, gate freeze, shrinkage, places that may sink.
//
// Volume shrinkage of a place: 1 - m v(23 °C, 0)/V, with the mass m that stayed in its cavity
// volume V. Linear shrinkage (in the plane): the wall keeps the part from shrinking while it is
// pressed against it, and each layer turns to glass at its own pressure; cold and free, the layers
// pull to the mean of their free shrinkages, (v(23 °C, 0)/v(T_t(p), p))^(1/3) (elastic layers of
// equal stiffness; the frozen-in pressure decides, as in measurements of Jansen, Pantani &
// Titomanlio, Polym. Eng. Sci. 38 (1998)). Thickness takes the rest. No creep, no orientation, no
// warp.
#pragma once

#include <string>
#include <vector>

#include "mesh/tri_mesh.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

struct PartShrinkage {
  std::string part;
  double mass = 0.0;             ///< that stayed in it [kg]
  double volume = 0.0;           ///< mean over its volume [-]
  double linear = 0.0;           ///< mean over its volume, in the plane [-]
  double frozen_pressure = 0.0;  ///< mean over its volume [Pa]
  double freeze = -1.0;          ///< last core solid [s], -1 = not
  double zero_pressure = -1.0;   ///< nowhere pressed against the wall any more [s], -1 = not
};

/// A place that may sink in or get a void, one per part. Only the order means something.
struct SinkPlace {
  std::string part;
  Point at;                ///< [m]
  double depth = 0.0;      ///< what the thickness lacks against the part's mean [m]
  double thickness = 0.0;  ///< [m]
};

/// One point of the weighing test: parts that were held until then and released.
struct WeighedShot {
  double holding_time = 0.0;   ///< since switch-over [s]
  double released_mass = 0.0;  ///< of the parts (estimate) [kg]
  double part_mass = 0.0;      ///< in the cavities at that time [kg]
};

/// A gate that came as triangles.
struct AreaGate {
  std::string gate;
  double freeze = -1.0;  ///< no open way leads through it any more [s], -1 = one does
};

struct HoldResult {
  bool held = false;
  std::string note;                  ///< why nothing was held; empty when held
  double start = -1.0;               ///< full cavity [s]
  double release = -1.0;             ///< the press lets go [s]
  double end = -1.0;                 ///< end of the stage [s]
  double holding_time = 0.0;         ///< switch-over to release [s]
  double gate_freeze = -1.0;         ///< the last gate is solid [s], -1 = not all of them are
  double enough = -1.0;              ///< holding time beyond which parts gain under 0.1 % [s]
  double start_mass = 0.0;           ///< in the mould when it began [kg]
  double shot_mass = 0.0;            ///< in the mould at the end [kg]
  double part_mass = 0.0;            ///< of it in the parts [kg]
  double mass_error = 0.0;           ///< |in mould - (at start + injected)| / in mould [-]
  double peak_opening_force = 0.0;   ///< while holding [N]
  std::vector<double> gate_frozen;   ///< per channel with role gate, model order [s], -1 = not
  std::vector<AreaGate> area_gates;  ///< of a solid
  std::vector<WeighedShot> weighing;
  std::vector<PartShrinkage> parts;  ///< regions with role part, model order
  std::vector<SinkPlace> sinks;      ///< deepest first
  double volume_mean = 0.0, volume_min = 0.0, volume_max = 0.0;  ///< of the parts [-]
  double linear_mean = 0.0, linear_min = 0.0, linear_max = 0.0;  ///< of the parts [-]
  double scale = 1.0;  ///< by which to cut the cavity larger than the part, 1/(1 - linear_mean)
};

/// @param history of the whole run
HoldResult hold_figures(const Setup& setup, const State& state,
                        const std::vector<HistoryEntry>& history);

}  // namespace firstshot
