// Runners, gates and sprue given as lines → 1D elements between network points.
//
// Runners are joined wherever they share a corner, cross, or end on each other, and where a gate
// starts or the inlet lies on them. Between such joints a leg is straight and divided evenly. What
// of a leg lies inside a runner that runs through its joint (joint_overlap.hpp) is left out of the
// elements' lengths: there it has neither walls nor melt of its own.
#pragma once

#include <vector>

#include "mesh/joints.hpp"
#include "mesh/model.hpp"

namespace firstshot {

/// End of elements: a point of its own, or a mouth in the triangles.
struct NetworkPoint {
  Point3 at;       ///< [m]
  int mouth = -1;  ///< index into Joints::mouths
};

/// Element between two network points.
struct NetworkElement {
  int from = 0, to = 0;  ///< indices into RunnerNetwork::points
  double length = 0.0;   ///< of flow [m] > 0, at joints less than between the points
  Section start, end;
  int channel = 0;
};

struct RunnerNetwork {
  std::vector<NetworkPoint> points;
  std::vector<NetworkElement>
      elements;                   ///< in the order of the channels, along each from its start
  std::vector<Channel> channels;  ///< runners, gates, sprue
  int inlet = -1;                 ///< point where the melt enters, -1 when it enters an area direct
};

/// @throws GeometryError for runners that lie on each other.
RunnerNetwork build_network(const Layout& layout, const Joints& joints, const MeshOptions& options);

}  // namespace firstshot
