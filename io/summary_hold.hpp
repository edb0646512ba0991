// What holding has left, as JSON texts of blocks of summary.json.
#pragma once

#include <string>

#include "solver/whole/result.hpp"

namespace firstshot {

/// Weight, gate freeze, weighing test.
std::string hold_block(const Result& result);
/// Of the parts; null where nothing was held.
std::string shrinkage_block(const Result& result);

}  // namespace firstshot
