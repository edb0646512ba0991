#include "io/outcome_names.hpp"

#include <array>

namespace firstshot {
namespace {

struct OutcomeWords {
  Outcome outcome;
  const char* name;
  const char* cause;  ///< nullptr where nothing stayed short
};
constexpr std::array<OutcomeWords, 6> outcome_words{{
    {Outcome::filled, "filled", nullptr},
    {Outcome::pressure_limit, "pressure_limit", "pressure"},
    {Outcome::frozen, "frozen", "freezing"},
    {Outcome::air, "air", "air"},
    {Outcome::time_limit, "time_limit", "time"},
    {Outcome::interrupted, "interrupted", "interrupted"},
}};

const OutcomeWords& words(Outcome outcome) {
  for (const OutcomeWords& entry : outcome_words)
    if (entry.outcome == outcome) return entry;
  return outcome_words.back();
}

}  // namespace

std::string outcome_name(Outcome outcome) { return words(outcome).name; }

std::optional<Outcome> outcome_from_name(std::string_view name) {
  for (const OutcomeWords& entry : outcome_words)
    if (name == entry.name) return entry.outcome;
  return std::nullopt;
}

std::optional<std::string> short_shot_cause(Outcome outcome) {
  const char* cause = words(outcome).cause;
  return cause != nullptr ? std::optional<std::string>(cause) : std::nullopt;
}

std::optional<Role> role_from_name(std::string_view name) {
  for (const Role role : {Role::part, Role::runner, Role::gate, Role::sprue})
    if (name == role_name(role)) return role;
  return std::nullopt;
}

}  // namespace firstshot
