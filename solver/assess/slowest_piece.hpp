// The pieces of a shot that are ready for ejection last, the band of their times, and what a
// thinner one would save of the cycle.
//
// A change (another contact, another conductivity, a smaller size) is reckoned with fresh melt
// cooling at rest in the piece's slowest place; the difference that it makes is added to the time
// found.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "solver/stage/cool.hpp"

namespace firstshot {

/// A time with the band of its doubt [s].
struct BandedTime {
  double value = 0.0, low = 0.0, high = 0.0;
};

/// The slowest place of a part or channel.
struct CooledPiece {
  std::string name;
  Role role = Role::part;
  std::size_t node = 0;
  Point at;                       ///< [m]
  double gap = 0.0;               ///< wall, or diameter of the round that cools alike [m]
  double ejectable = -1.0;        ///< since the start of injection [s], -1: never
  double temperature_open = 0.0;  ///< hottest layer when the mould opens [K]
  double mean_open_low = 0.0;     ///< coldest and hottest mean over the gap when it opens [K]
  double mean_open_high = 0.0;
};

/// The one piece that keeps the mould shut, and what it would save to make it alone thinner.
struct DecidingPiece {
  CooledPiece piece;
  double tenth_saves = 0.0;   ///< of the cycle, a tenth thinner [s]
  std::string next;           ///< what decides once it is thin enough: a piece, or the screw
  double enough = 0.0;        ///< size from which on that is so, in share of its own [-]
  double enough_saves = 0.0;  ///< of the cycle, at that size [s]
};

/// What all reckoning about cooled places reads.
struct CooledShot {
  const Setup& setup;
  const ControlVolumes& volumes;
  const GapGrid& grid;
  std::span<const double> mass;  ///< (n_nodes) [kg]
};

/// Of the slowest piece of a list, all 0 when nothing is in it.
struct SlowestTimes {
  BandedTime time;       ///< since the start of injection [s]
  double by_mean = 0.0;  ///< the same, had the mean over the section decided [s]
  double thinner = 0.0;  ///< the same with all pieces a tenth thinner [s]
};
SlowestTimes slowest_times(const CooledShot& shot, const std::vector<CooledPiece>& pieces,
                           const EjectionLimit& limit);

/// @param ready when holding is over and the screw is ready [s]
/// @return nothing when no piece is later than that
std::optional<DecidingPiece> deciding_piece(const CooledShot& shot,
                                            const std::vector<CooledPiece>& parts,
                                            const std::vector<CooledPiece>& channels, double ready);

}  // namespace firstshot
