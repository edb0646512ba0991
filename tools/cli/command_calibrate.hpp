// `firstshot calibrate`: its options and what it does with them.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tools/cli/commands.hpp"

namespace firstshot {

struct CalibrateOptions {
  CaseOptions common;
  std::filesystem::path trials;      ///< table of trial shots
  std::vector<std::string> factors;  ///< to estimate; empty: all that the case lets vary
  std::string card_name;             ///< of the new card; empty: from the name of the case's
  double confidence = 0.9;           ///< share that an interval holds
  SweepOptions runs;                 ///< where and how they are made, and whether to go on
};
/// Fits what nobody knows beforehand to trial shots and writes a material card of the shop's own.
int calibrate_command(const CalibrateOptions& options);

}  // namespace firstshot
