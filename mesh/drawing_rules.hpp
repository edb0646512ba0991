// What the layers of a drawing mean: one rule per layer, with the measures that a flat drawing
// cannot show. SI units.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "mesh/layout.hpp"

namespace firstshot {

/// Closed outlines: a part, or a runner or gate drawn as an area. An outline of the same layer
/// inside it is an opening.
struct AreaLayer {
  Role role = Role::part;
  double thickness = 0.0;  ///< [m] > 0
  bool visible = false;
};
/// Closed outlines inside parts: openings.
struct HoleLayer {};
/// Closed outlines inside parts: regions of another thickness.
struct StepLayer {
  double thickness = 0.0;  ///< [m] > 0
};
/// Centre lines. A taper runs from the end that is fed to the other one.
struct RunnerLayer {
  Section start, end;
};
/// Straight lines from a runner to the rim of a part, drawn either way.
struct GateLayer {
  double width = 0.0;  ///< [m] > 0
  double depth = 0.0;  ///< [m] > 0
};
/// One circle, the foot, or one point.
struct SprueLayer {
  double length = 0.0;                  ///< [m] > 0
  double nozzle_diameter = 0.0;         ///< [m] > 0
  std::optional<double> foot_diameter;  ///< [m] > 0; that of the circle when not given
};
/// Title blocks, dimensions, ejector pins and the like.
struct IgnoredLayer {};

using LayerMeaning =
    std::variant<AreaLayer, HoleLayer, StepLayer, RunnerLayer, GateLayer, SprueLayer, IgnoredLayer>;

struct LayerRule {
  std::string name;  ///< as in Drawing
  LayerMeaning meaning;
  Origin origin;
};

struct DrawingRules {
  std::vector<LayerRule> layers;  ///< one for each layer of the drawing
  std::vector<PartMark> marks;
  double gap = 0.05e-3;            ///< largest gap between ends of lines that is closed [m] > 0
  std::optional<Point> injection;  ///< where melt enters when the drawing has no sprue [m]
};

}  // namespace firstshot
