// Values that stand in for those of a case file, as `run --set KEY=VALUE` and the axes of a sweep
// give them. A key is written as in the file, places in lists of tables by number from 1 or by
// name: "process.melt_temperature", "layout.gate[g-deck].width", "vent[1].depth". Keys of a layout
// file begin with "layout." too.
//
// A value that excludes others of its group (fill_time, speed_profile, ...) takes their place.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "io/case_keys.hpp"
#include "io/toml_reader.hpp"

namespace firstshot {

struct CaseOverride {
  std::string key;
  std::string value;  ///< as inside the quotes of the file; lists as TOML
  friend bool operator==(const CaseOverride&, const CaseOverride&) = default;
};

/// "process.fill_time=0.5 s" → key and value. @throws Error without "=", unknown key, wrong value
CaseOverride override_from(std::string_view text);

/// What the table of keys says of a key as written. @throws Error unknown, with the nearest known
/// key; a table; a key below a list without its place
const KeySpec& override_spec(const std::string& key);

/// Checks kind, unit and range. @throws Error naming the key, with what is allowed
void check_override(const CaseOverride& change);

/// Value of a quantity, number or whole number [SI]; NaN of any other kind or of a word.
double override_number(const CaseOverride& change);

/// The tree of a case with the values put in. Where one of them belongs to the layout, a layout
/// file that the case names becomes its table [layout]. @throws CaseError, Error a place that is
/// not there
void apply_overrides(TomlFile& file, std::span<const CaseOverride> changes);

}  // namespace firstshot
