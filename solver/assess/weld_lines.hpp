// Where fronts that arrive from different directions meet: polylines over the parts, one per
// meeting, and single places in channels that are filled from both ends.
//
// Meeting angle: 180° minus the angle between the two flow directions, 0° head-on. Up to 135° the
// fronts weld (a weak place and a mark that shows), above it they flow on side by side (meld line;
// the figure is common practice, no source). Lines end where the directions differ by less than
// 25°. A line shorter than three elements of the mesh, or than the wall is thick, is left out.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "mesh/model.hpp"
#include "solver/stage/front_record.hpp"

namespace firstshot {

enum class MeetingKind { weld, meld };
/// Largest meeting angle of a weld line [deg]; common practice, no source.
inline constexpr double weld_angle_deg = 135.0;

struct MeetingPoint {
  Point at;                  ///< [m]
  double angle_deg = 0.0;    ///< meeting angle [deg], 0 = head-on
  double temperature = 0.0;  ///< mean over the gap when both sides are full [K]
  double pressure = 0.0;     ///< at that time, the higher of both sides [Pa]
  /// When they met [s]. The first melt is always at the front of a stream that fills the gap
  /// evenly, so this is also the longest time since melt there left the injection point; melt from
  /// the core, up to 1.5 times faster in a slit, is younger by up to a third.
  double time = 0.0;
};

struct WeldLine {
  std::string part;  ///< region, or channel
  bool visible = false;
  bool in_channel = false;
  MeetingKind kind = MeetingKind::weld;
  std::vector<MeetingPoint> points;  ///< in order along the line, at least two
  double length = 0.0;               ///< [m]; in a channel its width
  double angle_min_deg = 0.0;        ///< smallest meeting angle along the line [deg]
  double temperature = 0.0;          ///< mean along the line [K]
  double temperature_min = 0.0;      ///< [K]
  double time = 0.0;                 ///< first meeting on the line [s]
};

/// Sets length, angle, temperatures, time and kind of a line from its points (at least one).
void measure(WeldLine& line);

/// @param front, arrival (n_nodes) of the state at the end of a run
/// @return longest first
std::vector<WeldLine> weld_lines(const Model& model, const FrontRecord& front,
                                 const NodeField<double>& arrival);

}  // namespace firstshot
