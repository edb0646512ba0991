// One run of a sweep, in a process of its own: on this machine or as part of a job array.
#pragma once

#include <cstddef>
#include <filesystem>

namespace firstshot {

/// Does one run and leaves its result, or the reason why there is none, in the folder of the sweep.
/// @param number of the run, from 1 @return exit code; exit_not_stored when nothing could be left
int sweep_element(const std::filesystem::path& folder, std::size_t number);

/// The program that runs now.
std::filesystem::path own_program();

}  // namespace firstshot
