// Long sides of a surface divided, so that fields can be shown on it: CAD gives a flat face as two
// large triangles, and values at their corners say nothing of what lies between.
#pragma once

#include <cstddef>

#include "mesh/solid/shell.hpp"

namespace firstshot {

/// The same surface with every side longer than `longest` halved, again and again; sides that two
/// triangles share are divided alike, so that it stays as closed as it was. Stops before it has
/// more than `most` triangles. @param longest side [m] > 0
Shell divided_shell(const Shell& shell, double longest, std::size_t most);

}  // namespace firstshot
