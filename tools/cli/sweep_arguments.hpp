// Arguments of the commands that run a case many times.
#pragma once

#include "tools/cli/commands.hpp"

namespace CLI {
class App;
}

namespace firstshot {

extern const char* const sweep_help;
void add_sweep_options(CLI::App& command, SweepOptions& options);
/// Where and how runs are done, going on with those of a folder: the same for all such commands.
void add_doing_options(CLI::App& command, SweepOptions& options);

}  // namespace firstshot
