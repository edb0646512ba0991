// Values as TOML text.
#pragma once

#include <string>
#include <string_view>

namespace firstshot {

/// Text in quotes with escapes where TOML needs them.
std::string toml_string(std::string_view text);
/// Shortest number that reads back as the same double, in a form that TOML knows.
std::string toml_number(double value);

}  // namespace firstshot
