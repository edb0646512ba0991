// A drawing and the meaning of its layers → the layout of a frame: outlines are closed and nested,
// centre lines joined and led away from the injection point, gates turned towards their part.
#pragma once

#include <string>
#include <vector>

#include "mesh/drawing.hpp"
#include "mesh/drawing_rules.hpp"

namespace firstshot {

struct DrawnLayout {
  Layout layout;                   ///< areas in reading order of their places
  std::vector<std::string> notes;  ///< what was repaired, in sentences with places
};

/// Parts are named by their marks, others "part-1", "part-2" in reading order; runners "runner-1"
/// …; gates "g-" and the name of their part, numbered when it has several.
/// @throws GeometryError with the place: an outline that does not close, a hole or step outside of
/// parts, parts that lie in each other, a mark without part, no part at all, two sprues, a gate
/// that is not one straight line
DrawnLayout layout_of(const Drawing& drawing, const DrawingRules& rules);

}  // namespace firstshot
