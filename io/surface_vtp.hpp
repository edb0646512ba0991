// `surface.vtp`: the surface of the solid as it came from CAD, carrying what the run found. Long
// sides are divided so that there are points to carry it; each point has the values of the nearest
// place of the mid-surface, channel or sprue. Point fields and units as in vtk_writer.hpp.
#pragma once

#include <string>

#include "io/build_setup.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

/// Text of the file. Coordinates are those of the input.
/// @param built of a case with a solid @param fields of its model at the end of the run
std::string surface_vtp(const BuiltSetup& built, const NodeFields& fields);

}  // namespace firstshot
