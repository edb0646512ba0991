// STEP files (ISO 10303-21 with a boundary representation): read, converted and tessellated by
// OpenCASCADE. The file names its own unit of length. Everything with faces counts, also
// assemblies; free curves and points are passed over.
//
// Tessellation: no triangle is farther than `tolerance` from its surface, measured along the normal
// [m], and the normals across an arc turn by at most half a radian per side.
#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "mesh/solid/shell.hpp"

namespace firstshot {

struct StepSurface {
  Shell shell;                     ///< [m]
  std::string unit;                ///< of the file: "mm", "in", "m", "cm" or "um"
  std::vector<std::string> notes;  ///< what was passed over, one sentence each
};

/// @param in at its beginning; must allow seeking @param name of the file for errors
/// @param tolerance of the tessellation [m] > 0
/// @param longest time of computing that a file may take [s]; a damaged one may never end
/// @throws Error truncated, no STEP, no faces, a face that cannot be tessellated
StepSurface read_step(std::istream& in, const std::string& name, double tolerance,
                      unsigned longest = 600);

}  // namespace firstshot
