#include "solver/assess/draft.hpp"

#include <cstdio>

namespace firstshot {

std::optional<SmallDraft> small_draft(const Setup& setup) {
  constexpr double rounding = 1e-3;  // [deg] walls drawn at the limit; files hold single precision
  std::optional<SmallDraft> found;
  for (const SideWalls& walls : setup.walls) {
    if (walls.least_draft >= setup.limits.draft - rounding) continue;
    if (!found) found = SmallDraft{0, walls};
    ++found->parts;
    if (walls.least_draft < found->steepest.least_draft) found->steepest = walls;
  }
  return found;
}

std::string draft_sentence(const SmallDraft& found, double limit) {
  constexpr double mm2 = 1e-6;
  const SideWalls& w = found.steepest;
  char text[300];
  std::snprintf(text, sizeof text,
                "%d part%s side walls with less draft than %.2g deg; the least is %.1f deg on %s, "
                "which has %.0f mm2 of side walls, %.0f mm2 of them around steel",
                found.parts, found.parts == 1 ? " has" : "s have", limit, w.least_draft,
                w.part.c_str(), (w.core_area() + w.outer_area()) / mm2, w.core_area() / mm2);
  return text;
}

}  // namespace firstshot
