// The figures of a frame for people (text in mm, g, cm³) and for scripts (JSON, the unit as suffix
// of the key).
#pragma once

#include <string>
#include <vector>

#include "solver/assess/frame_figures.hpp"
#include "solver/assess/frame_notes.hpp"
#include "solver/setup.hpp"

namespace firstshot {

std::string frame_text(const Setup& setup, const FrameFigures& figures,
                       const std::vector<FrameNote>& notes);
std::string frame_json(const Setup& setup, const FrameFigures& figures,
                       const std::vector<FrameNote>& notes);

}  // namespace firstshot
