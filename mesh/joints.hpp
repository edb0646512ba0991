// What each end of a channel touches: a runner, the sprue's foot, or the rim of an area; and where
// the melt enters. Cuts the mouths into the border graph.
#pragma once

#include <optional>
#include <vector>

#include "mesh/borders.hpp"
#include "mesh/build_model.hpp"
#include "mesh/mouth.hpp"

namespace firstshot {

/// One end of a gate. On a rim it has a mouth; else it joins the channels at `at`.
struct GateEnd {
  Point at;        ///< [m]
  int mouth = -1;  ///< index into Joints::mouths, -1 where channels meet
};

/// Where the sprue stands or, without one, where the melt enters.
struct Inlet {
  Point at;                 ///< [m]
  bool on_channel = false;  ///< on a runner, or where gates start from the sprue's foot
  int mouth = -1;           ///< index into Joints::mouths, -1 when no area lies there
};

struct Joints {
  std::vector<Mouth> mouths;
  std::vector<GateEnd> gate_from;  ///< (n_gates)
  std::vector<GateEnd> gate_to;    ///< (n_gates)
  Inlet inlet;
};

/// Rim of the round mouth under the sprue or at the injection point, when an area lies there; to be
/// drawn with the borders. Its diameter is the sprue's foot, or Layout::injection_diameter.
std::optional<ClosedLine> inlet_disc(const Layout& layout, const ArcRule& rule);

/// Finds all joints and cuts the rim mouths into the graph. The loop of the inlet's disc, if any,
/// is the one of kind mouth.
/// @throws GeometryError for a gate end that touches nothing, and an inlet that is off the frame.
Joints find_joints(const Layout& layout, const MeshOptions& options, Borders& borders);

/// Nearest leg of any runner: its distance from p [m]; huge when there is no runner.
double runner_distance(const Layout& layout, Point p);

}  // namespace firstshot
