// Closed lists of words that files use for the solver's choices.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "mesh/layout.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// "filled", "pressure_limit", "frozen", "air", "time_limit", "interrupted".
std::string outcome_name(Outcome outcome);
std::optional<Outcome> outcome_from_name(std::string_view name);
/// "pressure", "freezing", "gate_frozen", "air", "time", "interrupted".
/// "stop", "look", "note".
const char* severity_name(Severity severity);
/// Inverse of role_name.
std::optional<Role> role_from_name(std::string_view name);

std::string cycle_limit_name(CycleLimit limit);

}  // namespace firstshot
