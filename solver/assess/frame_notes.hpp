// What an experienced eye sees on a frame before anything flows. Each note names the figure, the
// usual limit and where that limit comes from; none of them stops a run.
#pragma once

#include <string>
#include <vector>

#include "solver/assess/frame_figures.hpp"
#include "solver/setup.hpp"

namespace firstshot {

struct FrameNote {
  std::string rule;    ///< short name for scripts, "weight_left_right"
  std::string text;    ///< one sentence with the figure and the usual limit
  std::string source;  ///< of the limit
};

std::vector<FrameNote> frame_notes(const Setup& setup, const FrameFigures& figures);

}  // namespace firstshot
