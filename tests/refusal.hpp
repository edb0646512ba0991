// What an action refuses with, for tests of errors.
#pragma once

#include <optional>
#include <string>

#include "mesh/error.hpp"

namespace firstshot::test {

/// The error of this kind that an action raises, none when it raises none.
template <class Kind, class Action>
std::optional<Kind> refused(Action&& action) {
  try {
    action();
  } catch (const Kind& error) {
    return error;
  }
  return std::nullopt;
}

/// The words of that error; empty when nothing is refused.
template <class Kind = Error, class Action>
std::string refusal_of(Action&& action) {
  const auto error = refused<Kind>(action);
  return error ? error->what() : "";
}

}  // namespace firstshot::test
