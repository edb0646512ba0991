// What `calibrate` prints.
#pragma once

#include <string>

#include "io/calibration.hpp"

namespace firstshot {

/// Factors with their intervals, what is told, forecast against trial.
std::string calibration_text(const Calibration& calibration);

}  // namespace firstshot
