// `air_pockets.vtp`: the pockets of air of a run as points for a viewer, each where its air was
// last. Point fields: "pocket", "peak pressure [MPa]" (gauge), "peak temperature [degC]" (with heat
// loss), "left [mm3]", "closed volume [mm3]", "vented", "may scorch", "vent reaches" (-1 where no
// vent is proposed), "vent width [mm]".
#pragma once

#include <string>

#include "solver/whole/result.hpp"

namespace firstshot {

/// @param unit_length of a coordinate unit of the input [m] > 0
std::string air_pockets_vtp(const Result& result, double unit_length);

}  // namespace firstshot
