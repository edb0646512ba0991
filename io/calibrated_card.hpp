// A material card of the shop's own: the card of a case with the viscosity that trial shots showed.
// Everything else is the card's, with its sources; what is new names the trial as its source.
#pragma once

#include <string>

#include "solver/material/material.hpp"

namespace firstshot {

struct CardCalibration {
  std::string name;              ///< of the new card
  double factor = 1.0;           ///< of the viscosity at equal stress, over the card's
  double low = 1.0, high = 1.0;  ///< its interval …
  double confidence = 0.9;       ///< … and the share of the posterior in it
  double band = 0.3;             ///< relative doubt at moulding shear rates that is left [-]
  int shots = 0;                 ///< that it comes from
  std::string date;              ///< "2026-11-28"
  std::string case_title;        ///< of the trial
};

/// Text of the new card. The no-flow temperature is the base's, as it is in a run with
/// material.viscosity_factor, so that both give the same forecast.
std::string calibrated_card(const Material& base, const CardCalibration& calibration);

}  // namespace firstshot
