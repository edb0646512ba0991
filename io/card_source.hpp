// Sources in cards: every number of a card says where it comes from.
//
//   source = "text"                          one source for all numbers of the table
//   [table.source]                           or one for each number, `other` for those not named
//   slope = "text"
//   other = "text"
#pragma once

#include <string>
#include <vector>

#include "io/toml_reader.hpp"
#include "solver/material/material.hpp"

namespace firstshot {

/// Reads the key `source` of a table.
/// @param keys the keys of this table that hold numbers
/// @returns one entry for the table, or one for each key
/// @throws CaseError a number without a source, a source for a key that is not there, an empty text
std::vector<Material::Source> read_sources(const TomlFile& file, TableReader& table,
                                           const std::vector<std::string>& keys);

}  // namespace firstshot
