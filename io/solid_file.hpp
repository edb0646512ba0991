// A solid of the shot from a CAD file: STL (.stl) or STEP (.step, .stp), in SI units.
//
// Unit. STEP names its own. STL has none: it is given, or guessed from the largest dimension, since
// a frame measures some 30 mm to 1 m (common practice, no source); the guess is said in a note.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/stl_reader.hpp"
#include "mesh/solid/shell.hpp"

namespace firstshot {

struct SolidFileOptions {
  std::string unit;  ///< of an STL file: "mm", "in", ...; empty: guess
  double step_tolerance =
      0.01e-3;  ///< largest distance of a triangle from its STEP surface [m] > 0
  ReadProgress progress;
};

struct SolidFile {
  Shell shell;                     ///< [m]
  std::string unit;                ///< of the coordinates in the file
  double unit_length = 1e-3;       ///< the same [m]
  std::string fingerprint;         ///< of the bytes of the file
  std::vector<std::string> notes;  ///< what was guessed or passed over, one sentence each
};

/// @throws Error not there, not readable, none of the kinds, damaged, or of a size that no frame
/// has
SolidFile read_solid_file(const std::filesystem::path& file, const SolidFileOptions& options = {});

/// Symbol of the unit in which `largest` is the largest dimension of a frame.
/// @throws Error when none is likely @param name of the file for the error
std::string guess_unit(double largest, const std::string& name);

}  // namespace firstshot
