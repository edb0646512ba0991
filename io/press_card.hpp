// Press cards: TOML files with the limits of one injection moulding machine.
//
//   name                                        text
//   screw_diameter, stroke_max, speed_max       of the screw
//   melt_pressure_max                           ahead of the screw, not at the hydraulic gauge
//   intensification                             melt pressure / hydraulic gauge pressure
//   clamp_force, nozzle_volume, dry_cycle, plasticising_rate
//   source                                      as in card_source.hpp
#pragma once

#include <filesystem>

#include "io/toml_reader.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// Reads and checks a card; every key is required.
/// @throws CaseError with line and column: unknown or missing key, wrong unit, number out of range,
/// a number without a source
Press read_press_card(const std::filesystem::path& path);
/// The same for a text that was read already.
Press read_press_card(const TomlFile& file);

}  // namespace firstshot
