// Arguments of the commands that run a case many times.
#pragma once

#include "tools/cli/commands.hpp"

namespace CLI {
class App;
}

namespace firstshot {

extern const char* const sweep_help;
void add_sweep_options(CLI::App& command, SweepOptions& options);

}  // namespace firstshot
