// The verdict on a run: rules that an engineer would go through before a mould is milled. Each
// finding has the rule's short name, a sentence in the words of the shop, the measured value, its
// limit, where that comes from, the place and a severity. One finding of severity stop, and the
// frame is not approved.
//
//   stop   parts would be scrap, or the press cannot do it
//   look   somebody must decide
//   note   good to know
#pragma once

#include "solver/assess/frame_figures.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Goes through all rules. A run that was interrupted is not approved.
Verdict judge(const Setup& setup, const Result& result, const FrameFigures& figures);

}  // namespace firstshot
