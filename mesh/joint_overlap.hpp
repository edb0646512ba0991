// Where channels meet: how much of each lies inside another one. A branch that is drawn from the
// middle of a wider runner has no walls, and no melt of its own, before it leaves that runner.
#pragma once

#include <span>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// End of a straight piece of a channel at a joint.
struct LegEnd {
  int joint = 0;       ///< pieces that meet have the same
  Point direction;     ///< unit vector along the piece, away from the joint
  double width = 0.0;  ///< mean width of the section there: area / depth [m]
};

/// Length of each end inside the channel that runs straight through its joint (the widest, where
/// two cross) [m]: W / (2 sin θ), W its width, θ the angle between both. 0 where none runs through.
std::vector<double> joint_overlaps(std::span<const LegEnd> ends);

}  // namespace firstshot
