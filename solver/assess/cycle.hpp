// The cycle from closing to ejection, and the heat that goes with it:
//
//   close → inject → hold → cool (the screw recovers meanwhile) → open → eject
//
// The mould opens when every part and runner may be ejected (material/ejection.hpp) and the screw
// is ready, or after the cooling time of the case. Bands: contact after shrinking away from 1000 to
// 5000 W/(m² K), conductivity ±8 % (from memory, unconfirmed), for the slowest places.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/assess/barrel.hpp"
#include "solver/assess/slowest_piece.hpp"
#include "solver/heat/mould_heat.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

enum class CycleLimit { parts, runners, screw, set };

struct MouldBalance {
  bool follows = false;                              ///< the surface follows from cooling channels
  double surface_fixed = 0.0, surface_moving = 0.0;  ///< used in filling and cooling [K]
  HalfHeat fixed, moving;                            ///< with channels only
  double warming_time = 0.0;                         ///< with channels only [s]
  int shots_to_warm = 0;      ///< until the surface is within 1 K of its steady mean
  double contact_rise = 0.0;  ///< of the surface as melt touches it [K]
};

struct ShotEnergy {
  double melt = 0.0;   ///< heat content of the melt that came in, against 0 °C [J]
  double work = 0.0;   ///< done by the screw on it [J]
  double left = 0.0;   ///< heat content of the shot when the mould opens [J]
  double fixed = 0.0;  ///< given to each half [J]
  double moving = 0.0;
  double plasticise = 0.0;  ///< to melt the shot from 23 °C [J]
};

struct CycleResult {
  double close = 0.0, inject = 0.0, hold = 0.0, open = 0.0, eject = 0.0;  ///< [s]
  BandedTime cool, total;                                                 ///< [s]
  BandedTime parts_ejectable, runners_ejectable;      ///< since the start of injection [s]
  double parts_by_mean = 0.0, runners_by_mean = 0.0;  ///< the same, had the mean decided [s]
  CycleLimit limit = CycleLimit::parts;
  double runner_cost = 0.0;           ///< longer than parts and screw alone would need [s]
  double thinner_runner_saves = 0.0;  ///< with all channels a tenth smaller [s]
  std::vector<CooledPiece> parts, channels;
  std::optional<DecidingPiece> deciding;  ///< of parts or channels, when one decides
  BarrelFigures barrel;
  MouldBalance mould;
  ShotEnergy energy;
  double mass = 0.0;                     ///< of the shot [kg]
  double opening = 0.0;                  ///< of the mould, since the start of injection [s]
  std::vector<double> temperature_open;  ///< (n_nodes, n_columns) when it opens [K]
  NodeField<double> ejectable;           ///< since the start of injection (n_nodes) [s], -1: never
};

/// @param volumes, grid of the fill @return nothing when melt and mould exchange no heat
std::optional<CycleResult> cycle_result(const Setup& setup, const ControlVolumes& volumes,
                                        const GapGrid& grid, const State& state,
                                        const std::vector<HistoryEntry>& history);

/// The state when the mould opens, for pictures: no pressure, temperatures of the end of cooling.
State state_at_opening(const State& state, const CycleResult& cycle);

/// Rectangle around the frame [m].
struct FrameRectangle {
  double length = 0.0, width = 0.0;
};
FrameRectangle frame_rectangle(const Model& model);

}  // namespace firstshot
