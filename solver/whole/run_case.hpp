// Setup → Result: the whole job in one call.
#pragma once

#include <vector>

#include "solver/stage/state.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Where a stored run goes on.
struct Restart {
  State state;
  std::vector<HistoryEntry> history;
};

/// Fills the mould. @param observer called after each step, may be empty @param restart nullptr to
/// begin
/// @throws SolveError when no solution can be found at a step
Result run_case(const Setup& setup, const Observer& observer = {},
                const Restart* restart = nullptr);

}  // namespace firstshot
