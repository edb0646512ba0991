// STL files: a list of triangles, as 50-byte records behind a header of 84 bytes or as text,
// without unit. (Layouts as published with the format in 1989; from memory, unconfirmed; tests/io
// reads the same files with VTK's reader.)
//
// Which of the two a file is, its length decides, not its first word: many binary files begin with
// "solid". A length that fits no number of triangles, text that breaks off, a coordinate that is no
// number: refused with the place. Corners at the same place become one point; triangles without
// area because two corners coincide are left out. Normals in the file are not used.
#pragma once

#include <functional>
#include <iosfwd>
#include <string>
#include <vector>

#include "mesh/solid/shell.hpp"

namespace firstshot {

/// Told the share that has been read, 0 to 1, a few dozen times in a large file.
using ReadProgress = std::function<void(double share)>;

struct StlSurface {
  Shell shell;                     ///< coordinates as in the file, in its own unnamed unit
  std::vector<std::string> notes;  ///< what was passed over, one sentence each
};

/// @param in at its beginning; must allow seeking @param name of the file for errors
/// @throws Error truncated, no STL, no triangles, not finite, too many triangles
StlSurface read_stl(std::istream& in, const std::string& name, const ReadProgress& progress = {});

}  // namespace firstshot
