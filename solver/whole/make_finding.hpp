// What all rules of the verdict share: sentences with numbers in them, and a measured value beside
// its limit.
#pragma once

#include <cmath>
#include <cstdio>
#include <string>
#include <utility>

#include "solver/whole/findings.hpp"

namespace firstshot {

/// As printf; what is longer than 499 characters is cut.
template <class... Values>
std::string sentence(const char* form, Values... values) {
  char text[500];
  std::snprintf(text, sizeof text, form, values...);
  return text;
}

/// What was found and what is allowed.
struct Measured {
  const char* unit;
  double value, limit;  ///< in that unit
};

/// A finding with value, limit and margin; no margin to a limit of 0.
inline Finding make_finding(const char* rule, Severity severity, const Measured& measured,
                            std::string text, const char* source) {
  Finding f;
  f.rule = rule;
  f.severity = severity;
  f.text = std::move(text);
  f.source = source;
  f.unit = measured.unit;
  f.value = measured.value;
  f.limit = measured.limit;
  if (measured.limit != 0.0)
    f.margin = (measured.limit - measured.value) / std::abs(measured.limit);
  return f;
}

}  // namespace firstshot
