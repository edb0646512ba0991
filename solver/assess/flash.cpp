#include "solver/assess/flash.hpp"

#include <algorithm>
#include <cstdio>

namespace firstshot {

std::vector<FlashGap> flash_gaps(const Setup& setup) {
  std::vector<FlashGap> gaps;
  const auto look = [&](std::string what, double depth, std::optional<Point> at) {
    if (depth > setup.material.vent_depth_max) gaps.push_back({std::move(what), depth, at});
  };
  for (std::size_t k = 0; k < setup.air.vents.size(); ++k) {
    const Vent& vent = setup.air.vents[k];
    look("vent " + std::to_string(k + 1), vent.depth,
         vent.at.empty() ? std::nullopt : std::optional(vent.at.front()));
  }
  for (const EjectorPin& pin : setup.ejectors)
    look("the gap around ejector \"" + pin.name + "\"", pin.clearance, pin.at);
  look("the gap of the parting line", setup.air.parting_line_gap, std::nullopt);
  std::stable_sort(gaps.begin(), gaps.end(),
                   [](const FlashGap& a, const FlashGap& b) { return a.depth > b.depth; });
  return gaps;
}

std::string flash_sentence(const FlashGap& gap, const Material& material) {
  constexpr double um = 1e-6;
  char text[400];
  std::snprintf(text, sizeof text,
                "%s is %.0f um deep; melt of %s is kept back up to %.0f um only, so it will flash "
                "there",
                gap.what.c_str(), gap.depth / um, material.name.c_str(),
                material.vent_depth_max / um);
  return text;
}

}  // namespace firstshot
