// What `firstshot material CARD` prints: the numbers of a card, the viscosities they give over the
// valid range, the melt flow rate they predict, where each number comes from, and how far to trust
// it.
#pragma once

#include <string>
#include <vector>

#include "solver/material/material.hpp"

namespace firstshot {

/// Viscosities over the valid range of melt temperature at zero pressure.
struct ViscosityTable {
  std::vector<double> temperature;             ///< rising [K]
  std::vector<double> shear_rate;              ///< rising, 10 to 1e5 [1/s]
  std::vector<std::vector<double>> viscosity;  ///< (shear rates, temperatures) [Pa s]
};
/// @param rates_per_decade ≥ 1: 1 for reading, more for drawing curves
ViscosityTable viscosity_table(const Material& material, int rates_per_decade);

/// Plain text for the terminal, at most 100 characters wide.
std::string material_report_text(const Material& material);

/// The same as JSON; every number carries its unit in its key, temperatures in °C. Curves have ten
/// shear rates per decade.
std::string material_report_json(const Material& material);

/// The curves as CSV: a column of shear rates, one of viscosities per temperature, units in the
/// head line.
std::string material_curves_csv(const Material& material);

}  // namespace firstshot
