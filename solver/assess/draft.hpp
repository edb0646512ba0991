// Side walls that leave the mould badly: draft below limits.draft. Known of solids only; walls of a
// layout or a drawing count as straight, and no finding says so of each of them.
#pragma once

#include <optional>
#include <string>

#include "solver/setup.hpp"

namespace firstshot {

struct SmallDraft {
  int parts = 0;  ///< with walls below the limit
  SideWalls steepest;
};
/// Nothing when no part falls short.
std::optional<SmallDraft> small_draft(const Setup& setup);
std::string draft_sentence(const SmallDraft& found, double limit);

}  // namespace firstshot
