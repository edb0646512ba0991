// What was found in a solid, and what was done about it, as sentences for the person who drew it.
#pragma once

#include <string>
#include <vector>

#include "mesh/solid/build_solid_model.hpp"

namespace firstshot {

/// One sentence each; places in mm.
std::vector<std::string> solid_notes(const SolidReport& report);

}  // namespace firstshot
