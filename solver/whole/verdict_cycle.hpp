// Rules of the verdict on cooling, cycle, barrel, blend and mould temperature.
#pragma once

#include <vector>

#include "solver/whole/result.hpp"

namespace firstshot {

/// Findings without order; none for a run without a cycle but those on the blend.
std::vector<Finding> cycle_findings(const Setup& setup, const Result& result);

}  // namespace firstshot
