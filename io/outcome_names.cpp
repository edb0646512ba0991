#include "io/outcome_names.hpp"

#include <array>

namespace firstshot {
namespace {

struct OutcomeWords {
  Outcome outcome;
  const char* name;
};
constexpr std::array<OutcomeWords, 6> outcome_words{{
    {Outcome::filled, "filled"},
    {Outcome::pressure_limit, "pressure_limit"},
    {Outcome::frozen, "frozen"},
    {Outcome::air, "air"},
    {Outcome::time_limit, "time_limit"},
    {Outcome::interrupted, "interrupted"},
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

const char* severity_name(Severity severity) {
  switch (severity) {
    case Severity::stop:
      return "stop";
    case Severity::look:
      return "look";
    case Severity::note:
      return "note";
  }
  return "";
}

std::optional<Role> role_from_name(std::string_view name) {
  for (const Role role : {Role::part, Role::runner, Role::gate, Role::sprue})
    if (name == role_name(role)) return role;
  return std::nullopt;
}

std::string cycle_limit_name(CycleLimit limit) {
  switch (limit) {
    case CycleLimit::parts:
      return "parts";
    case CycleLimit::runners:
      return "runners";
    case CycleLimit::screw:
      return "screw";
    case CycleLimit::set:
      return "set";
  }
  return {};
}

}  // namespace firstshot
