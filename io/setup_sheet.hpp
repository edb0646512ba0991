// The settings as a sheet to take to the press: setup-sheet.txt in the results folder.
#pragma once

#include <string>

#include "solver/setup.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

inline constexpr const char* setup_sheet_name = "setup-sheet.txt";

/// Empty for a run without settings (stopped, or without cooling).
std::string setup_sheet(const Setup& setup, const Result& result);

}  // namespace firstshot
