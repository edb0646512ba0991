// Rules of the verdict on holding: enough time, not too much, shrinkage, overpacking.
#pragma once

#include <vector>

#include "solver/whole/result.hpp"

namespace firstshot {

/// Adds what was found; nothing when nothing was held.
void judge_hold(const Setup& setup, const Result& result, std::vector<Finding>& findings);

}  // namespace firstshot
