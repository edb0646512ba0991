// Arguments of the process window.
#pragma once

#include "tools/cli/commands.hpp"

namespace CLI {
class App;
}

namespace firstshot {

extern const char* const window_help;
void add_window_options(CLI::App& command, WindowOptions& options);

}  // namespace firstshot
