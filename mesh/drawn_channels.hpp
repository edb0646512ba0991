// Centre lines of a drawing → runners and gates. Which end of a line was drawn first means nothing
// in a drawing, so runners are led away from the injection point and gates towards their part.
#pragma once

#include <span>
#include <vector>

#include "mesh/drawing_rules.hpp"
#include "mesh/join_paths.hpp"

namespace firstshot {

/// Paths of one layer.
struct LayerPaths {
  const LayerRule* rule = nullptr;
  std::vector<DrawnPath> paths;
};

/// Runners in reading order of their first points, "runner-1", "runner-2". Lines of one layer that
/// meet two by two are one runner; at the injection point and at crossings they end.
/// @throws GeometryError a tapered runner that is fed at neither end
std::vector<RunnerLine> runners_of(const std::vector<LayerPaths>& layers, Point injection,
                                   double gap, JoinReport& report);

/// Gates in reading order of their ends on the parts. @throws GeometryError a gate that is not one
/// straight line, or has no part near either end
std::vector<GateLine> gates_of(const std::vector<LayerPaths>& layers,
                               const std::vector<Area>& areas,
                               const std::vector<RunnerLine>& runners, double gap);

}  // namespace firstshot
