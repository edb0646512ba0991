// The page of a run with calibrated factors: io/report_html, with what the trial shots say.
#pragma once

#include <filesystem>
#include <string>

namespace firstshot {

/// @param calibration text of calibrate.json @throws Error as report_html
std::string calibrated_report(const std::filesystem::path& run, const std::string& version,
                              const std::string& calibration);

}  // namespace firstshot
