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

/// Fills in what follows from the state at the end and the parts: air pockets, weld lines, short
/// shots, flow paths, verdict. run_case has done so; for a result that was read from a file.
void assess(const Setup& setup, Result& result);

}  // namespace firstshot
