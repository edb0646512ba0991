// Lines on the cycle, the settings and the cost for the terminal.
#pragma once

#include <string>

#include "solver/setup.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Empty for a run without a cycle.
std::string cycle_text(const Setup& setup, const Result& result);

}  // namespace firstshot
