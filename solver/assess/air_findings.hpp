// Pockets of air as an engineer asks about them: where, how far compressed, how hot, did it get
// out, may it scorch, and would a vent cure it.
//
// Bounds of the temperature: the walls' (isothermal), and that of compression to the highest
// pressure without any loss of heat (adiabatic). "May scorch" needs the temperature with heat loss
// above the case's threshold for the case's time; it is a mark, no forecast.
//
// A vent is proposed for a pocket that did not get out, rose above the case's pressure limit, or
// may scorch. It begins at the lower depth that the material card allows (metal can only be
// removed) and is as wide as the largest squeeze Q of the pocket needs at the limit p: w = p Q/(R
// T) / ṁ', ṁ' the flow of air_vent.hpp per width. Only a pocket whose gas still touched an outer
// edge when it was last there can be vented in the parting line; for the others ejector pins with
// as much clearance are proposed, with the circumference that takes the place of the width.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/stage/state.hpp"

namespace firstshot {

/// Ejector pins through whose gaps a pocket would get out.
struct PinProposal {
  int count = 0;
  double diameter = 0.0;   ///< of each [m]
  double clearance = 0.0;  ///< on each side [m]
  double land = 0.0;       ///< [m]
};

struct VentProposal {
  bool reaches = false;             ///< false: no vent in the parting line gets to the pocket
  bool runner_end = false;          ///< the pocket is in a channel, whose blind end is the place
  Point at;                         ///< on the nearest outer edge of an area, or that end [m]
  double distance = 0.0;            ///< from the pocket to that place [m]
  double width = 0.0;               ///< [m]
  double depth = 0.0;               ///< [m]
  double land = 0.0;                ///< [m]
  std::optional<PinProposal> pins;  ///< where no vent gets to the pocket
  std::string text;                 ///< one or two sentences
};

struct AirPocketResult {
  int number = 0;                       ///< of the pocket in fields and tables
  Point at;                             ///< where its air was last [m]
  std::string part;                     ///< part, or channel, at that place
  double closed = 0.0;                  ///< when it became a pocket of its own [s]
  double closed_volume = 0.0;           ///< at that time [m³]
  double volume = 0.0;                  ///< left when filling ends [m³]
  double hollow = -1.0;                 ///< the void that is left after holding [m³], -1: not held
  double pressure = 0.0;                ///< when filling ends, gauge; 0 when nothing is left [Pa]
  double peak_pressure = 0.0;           ///< gauge [Pa]
  double peak_temperature = 0.0;        ///< with heat loss [K]
  double isothermal_temperature = 0.0;  ///< lower bound [K]
  double adiabatic_temperature = 0.0;   ///< upper bound [K]
  double hot_time = 0.0;                ///< longest time above the threshold [s]
  bool vented = false;                  ///< all of it got out
  bool trapped = false;                 ///< it stays, compressed, as a void that shows
  bool may_scorch = false;
  std::optional<VentProposal> proposal;
};

/// The pockets of a run, those with the highest pressure first; empty when air was not followed.
std::vector<AirPocketResult> air_pocket_results(const Setup& setup, const State& state);

}  // namespace firstshot
