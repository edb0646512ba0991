// Blocks of summary.json on cycle, blend, press settings and cost. Used by io/summary.
#pragma once

#include <string>

#include "solver/setup.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Each as JSON text, null where the run gave none.
std::string cycle_json_text(const Result& result);
std::string blend_json_text(const Setup& setup);
std::string settings_json_text(const Result& result);
/// Drivers of warp, which is not modelled itself.
std::string warp_json_text(const Result& result);
std::string ejection_json_text(const Setup& setup, const Result& result);
std::string cost_json_text(const Setup& setup, const Result& result);

}  // namespace firstshot
