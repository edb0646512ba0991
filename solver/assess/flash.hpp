// Gaps that the melt would run into: vents, clearances of ejector pins, and the gap of the parting
// line, deeper than the card's largest depth that keeps its melt back (Material::vent_depth_max).
// Whether melt enters depends on its pressure and heat there too; the depth is the rule of the
// shop.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/setup.hpp"

namespace firstshot {

struct FlashGap {
  std::string what;    ///< "vent 2", "the gap around ejector \"a\"", "the gap of the parting line"
  double depth = 0.0;  ///< [m]
  std::optional<Point> at;  ///< [m]; nothing for the parting line
};

/// Those deeper than the card allows, deepest first.
std::vector<FlashGap> flash_gaps(const Setup& setup);

/// One sentence for each of them.
std::string flash_sentence(const FlashGap& gap, const Material& material);

/// Where the limit comes from.
inline constexpr const char* flash_source = "material card: depth of vents";

}  // namespace firstshot
