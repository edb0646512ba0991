// Options and help of `firstshot calibrate`.
#pragma once

#include "tools/cli/command_calibrate.hpp"

namespace CLI {
class App;
}

namespace firstshot {

extern const char* const calibrate_help;
void add_calibrate_options(CLI::App& command, CalibrateOptions& options);

}  // namespace firstshot
