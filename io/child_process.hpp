// Work and other programs in processes of their own: libraries that may go down over a damaged
// file, the commands of a cluster, the runs of a sweep.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace firstshot {

/// What `work` returns in a copy of this process; empty when the copy broke down, needed more
/// than `longest` seconds of computing, or returned nothing. What else `work` changes is lost with
/// the copy. To be called while no other thread runs. @throws Error when no process can be made
std::string answer_of_child(const std::function<std::string()>& work, unsigned longest);

/// What a program prints, with its exit code; 127 when it is not there.
struct CommandOutput {
  int exit_code = 0;
  std::string out, err;
};
CommandOutput run_command_of_system(const std::vector<std::string>& arguments);

/// Turns this process, a copy made by fork(), into another program; ends it with the exit code when
/// that one cannot be started. The first argument is the program.
[[noreturn]] void become_program(const std::vector<std::string>& arguments, int exit_code);

}  // namespace firstshot
