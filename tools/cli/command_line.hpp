// Arguments → the command they ask for.
#pragma once

namespace firstshot {

/// Reads the arguments and runs the command. Wrong arguments are explained on standard error.
/// @return the exit code @throws Error and what else the command throws
int run_command_line(int argc, const char* const* argv);

}  // namespace firstshot
