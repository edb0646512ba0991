// A process window in words, for the terminal.
#pragma once

#include <string>

#include "io/series.hpp"
#include "io/window_record.hpp"

namespace firstshot {

/// Best setting, its edges, how many shots are good; what is in the way when nothing is good.
std::string window_text(const WindowRecord& record);

/// Reasons of failed runs with how often each came, the most frequent first; "" without any.
std::string reasons_text(const Series& series);

}  // namespace firstshot
