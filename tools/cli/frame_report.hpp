// The figures of a frame for people (text in mm, g, cm³) and for scripts (JSON, the unit as suffix
// of the key).
#pragma once

#include <string>
#include <vector>

#include "io/found_gates.hpp"
#include "solver/assess/frame_figures.hpp"
#include "solver/assess/frame_notes.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// What `check` found.
struct FrameReport {
  FrameFigures figures;
  std::vector<GateSize> gates;
  std::vector<FrameNote> notes;
};
std::string frame_text(const Setup& setup, const FrameReport& report);
std::string frame_json(const Setup& setup, const FrameReport& report);

}  // namespace firstshot
