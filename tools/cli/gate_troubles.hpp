// What is wrong with a run that a further gate may cure: short parts and caught air.
#pragma once

#include <string>
#include <vector>

#include "solver/whole/result.hpp"

namespace firstshot {

struct Trouble {
  std::string part, words;
  Point at;
  bool air = false;
};

bool same(const Trouble& a, const Trouble& b);

/// Short parts first.
std::vector<Trouble> troubles(const Result& run);

/// The troubles that are gone. Air counts by part: a pocket that only moved is the same one, so
/// each that is left takes the nearest one of before.
std::vector<Trouble> gone(std::vector<Trouble> before, const std::vector<Trouble>& now);

}  // namespace firstshot
