// Balance and air as JSON texts of blocks of summary.json.
#pragma once

#include <string>

#include "solver/assess/frame_figures.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// "left", "right", "top", "bottom".
const char* side_name(Side side);

std::string balance_block(const Model& model, const Result& result, const FrameFigures& figures);
std::string air_block(const Result& result);
/// The stretches of shut-off over which most compressed air leaves, the worst first.
std::string scorch_block(const Result& result);

}  // namespace firstshot
