// What the keys of a case mean, in words, from the table of keys: for `explain`, the reference page
// and errors.
#pragma once

#include <string>
#include <string_view>

#include "io/case_keys.hpp"

namespace firstshot {

/// What a key means, what it may hold and its default. Takes "process.melt_temperature", a key of a
/// layout file
/// ("part[2].thickness", "part.thickness"), or a last name that stands only once
/// ("melt_temperature").
/// @throws Error an unknown key, with the nearest known one
std::string explain_key(std::string_view key);

/// The whole table as a page; kept in cases/case-keys.md.
std::string key_reference_markdown();

/// The same table as a JSON Schema for editors; kept in cases/case.schema.json.
std::string case_schema_json();

/// "a temperature like "220 degC""; "one of preview, default, fine".
std::string value_text(const KeySpec& spec);
/// "220 degC", "2 mm (preview), 1.2 mm (default), 0.7 mm (fine)"; empty when there is none.
std::string default_text(const KeySpec& spec);
/// "from 50 degC to 500 degC"; empty when every value is allowed.
std::string allowed_text(const KeySpec& spec);

}  // namespace firstshot
