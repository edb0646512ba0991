// What a run found, in the words of the shop: fills or not and why, time, pressure at the injection
// point and at the gauge, opening force, which parts come last, where the files are.
#pragma once

#include <filesystem>
#include <string>

#include "solver/setup.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// @param folder where the files of the run lie
std::string run_text(const Setup& setup, const Result& result, const std::filesystem::path& folder);

}  // namespace firstshot
