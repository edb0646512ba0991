// Side walls of a part as its solid has them: how steep they are, and which of them hold the part
// on steel.
#pragma once

#include <array>
#include <cstddef>
#include <string>

#include "mesh/model.hpp"

namespace firstshot {

/// Walls steeper than this from the draw are faces, not sides [deg].
inline constexpr std::size_t steepest_draft = 45;
/// Area by draft, whole degrees rounded down (0 to 45 deg) [m²].
using AreaByDraft = std::array<double, steepest_draft>;

/// A solid has both surfaces and the draw; a layout or a drawing has no draft, and no SideWalls.
struct SideWalls {
  std::string part;
  /// Draft that no more than a hundredth of the walls' area falls short of [deg]: the foot of a
  /// rounding is steeper, and lets go all the same.
  double least_draft = 0.0;
  Point3 at;           ///< on the largest wall of that draft, in the frame of the draw [m]
  AreaByDraft core{};  ///< walls around steel that the part encloses: it shrinks onto them
  AreaByDraft outer{};

  double core_area() const { return sum(core); }
  double outer_area() const { return sum(outer); }

 private:
  static double sum(const AreaByDraft& areas) {
    double all = 0.0;
    for (const double a : areas) all += a;
    return all;
  }
};

}  // namespace firstshot
