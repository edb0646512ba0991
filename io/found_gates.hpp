// The gates of a shot, however it was drawn, with their sizes and the cutter that makes them: from
// the channels of a layout or the necks found in a solid.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "io/build_setup.hpp"

namespace firstshot {

struct GateSize {
  std::string name;
  std::string part;                               ///< that it feeds, empty where there is none
  Point3 at;                                      ///< in the coordinates of the model [m]
  double width = 0.0, depth = 0.0, length = 0.0;  ///< [m]
  double cutter = 0.0;  ///< diameter of the largest cutter that passes through [m]; 0: none does
};

/// In the order of the model.
std::vector<GateSize> gate_sizes(const BuiltSetup& built);

/// Largest of the diameters that is not above `width`, 0 when all are. Sizes within a thousandth of
/// each other count as equal: measured widths carry the error of a mesh. [m]
double cutter_for(double width, std::span<const double> diameters);

}  // namespace firstshot
