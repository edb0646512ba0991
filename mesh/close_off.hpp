// A frame with some of its gates plugged or some of its cavities blocked off, as a shop does with a
// steel pin or a cover, to see what the others do then.
#pragma once

#include <string>
#include <vector>

#include "mesh/layout.hpp"

namespace firstshot {

/// What is shut: names of gates and of parts.
struct ShutOff {
  std::vector<std::string> gates, parts;
};

struct ClosedFrame {
  Layout layout;
  std::vector<std::string> gates, parts;  ///< all that is gone, also what follows from it
};

/// Takes plugged gates away, blocked parts with their gates, and parts that have lost their last
/// gate; vents and ejector pins of those parts go with them. Runners stay, as dead ends.
/// @throws Error a name that the layout does not have, or nothing left to fill
ClosedFrame close_off(const Layout& layout, const ShutOff& shut);

}  // namespace firstshot
