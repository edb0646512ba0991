// A process window in plain sentences, for the terminal and for the page.
#pragma once

#include <string>
#include <vector>

#include "io/window_record.hpp"

namespace firstshot {

/// "17 fills, 6 short, 2 over pressure".
std::string count_words(const WindowRecord& record);

/// Best setting and the way to each edge; or that nothing is good, and what is in the way.
std::vector<std::string> best_sentences(const WindowRecord& record);

/// How many shots are good, with the interval; empty when none were run.
std::vector<std::string> shots_sentences(const WindowRecord& record);

}  // namespace firstshot
