#include "solver/whole/frame_balance.hpp"

#include <algorithm>
#include <limits>

#include "solver/assess/side_weights.hpp"
#include "solver/stage/hold_fields.hpp"

namespace firstshot {

double part_mass(const Result& result, const PartResult& part) {
  for (const PartShrinkage& held : result.hold.parts)
    if (result.hold.held && held.part == part.name) return held.mass;
  return part.mass;
}

FrameFigures as_held(const Setup& setup, const Result& result, FrameFigures figures) {
  if (!result.hold.held) return figures;
  const SideWeights sides = side_weights(setup.model, held_density(setup, result.state));
  figures.mass = sides.all;
  figures.mass_left = sides.left;
  figures.mass_right = sides.right;
  figures.mass_bottom = sides.bottom;
  figures.mass_top = sides.top;
  return figures;
}

const FlowPath* last_path(const Model& model, const Result& result) {
  const FlowPath* last = nullptr;
  double latest = -1.0;
  for (const FlowPath& path : result.paths) {
    const std::string& name = model.regions[static_cast<std::size_t>(path.region)].name;
    const auto part = std::find_if(result.parts.begin(), result.parts.end(),
                                   [&](const PartResult& p) { return p.name == name; });
    if (part == result.parts.end()) continue;
    const double time = part->full >= 0.0 ? part->full : std::numeric_limits<double>::infinity();
    if (last != nullptr && time <= latest) continue;
    latest = time;
    last = &path;
  }
  return last;
}

std::optional<double> jump_at_first_full(const Result& result) {
  constexpr double window = 0.05;  // of the time so far
  const auto first = std::find_if(result.parts.begin(), result.parts.end(),
                                  [](const PartResult& p) { return p.order == 1; });
  if (result.parts.size() < 2 || first == result.parts.end()) return std::nullopt;
  return pressure_jump(result.history, first->full, window * first->full);
}

}  // namespace firstshot
