// Material cards: TOML files with the laws and numbers of one moulding material, each with its
// source.
//
//   name, grade                 texts
//   [viscosity]                 law = "cross_wlf" | "cross_exponential" | "newtonian" |
//   "power_law",
//                               its parameters, band (relative doubt at moulding shear rates),
//                               source
//   [thermal]                   density_melt, conductivity, heat_capacity = [["27 degC", "1223
//   J/(kg K)"], …],
//                               ejection_temperature, no_flow_temperature (optional), source
//   [pvt]                       two-domain Tait equation, source
//   [valid]                     melt_temperature, mould_temperature = [lowest, highest], source
//   [vents]                     optional: depth = [to begin with, most], source
//   [melt_flow_rate]            optional: value at 200 °C / 5 kg, fitted, source
//
// The parameters of the laws are named by meaning; in the cards that come with the program the
// published symbols stand beside them.
#pragma once

#include <filesystem>

#include "io/toml_reader.hpp"
#include "solver/material/material.hpp"

namespace firstshot {

/// Zero-shear viscosity at which a layer counts as solid where a card gives no no-flow temperature
/// [Pa s] (common practice, no source).
inline constexpr double no_flow_viscosity = 1e6;

/// Reads and checks a card. A missing no_flow_temperature becomes the temperature at which the
/// zero-shear viscosity is no_flow_viscosity (0, flows at any temperature, for laws that never
/// reach it).
/// @throws CaseError with line and column: unknown or missing key, wrong unit, number out of range,
/// numbers that contradict each other, a number without a source
Material read_material_card(const std::filesystem::path& path);
/// The same for a text that was read already.
Material read_material_card(const TomlFile& file);

}  // namespace firstshot
