// Is a surface the skin of a solid? Joins its points, drops what has no area, turns what is inside
// out, and says what is wrong with the rest.
//
// Points closer than the weld distance are one. Triangles without area are dropped, and of the same
// triangle given twice one is kept. What remains is sorted into shells (pieces that hang together
// by edges); a shell whose signed volume Σ a·(b×c)/6 is negative is turned, unless it lies within
// another one and so is the skin of a void. An edge with other than two triangles makes the solid
// open (one) or non-manifold (more): with as many triangles in each sense the inside is still
// known, so bodies that touch along an edge are let pass; a hole is not.
#pragma once

#include <cstddef>
#include <vector>

#include "mesh/solid/shell.hpp"

namespace firstshot {

/// A closed line of edges that have a triangle on one side only.
struct ShellHole {
  Point3 at;          ///< centre of its points [m]
  double size = 0.0;  ///< diagonal of the box around it [m]
  std::size_t edges = 0;
};

struct ShellFindings {
  double weld_distance = 0.0;        ///< [m]
  std::size_t shells = 0;            ///< pieces that hang together
  std::size_t merged_points = 0;     ///< points that became one with another
  std::size_t empty_triangles = 0;   ///< dropped: no area
  std::size_t double_triangles = 0;  ///< dropped: given more than once
  std::size_t turned_shells = 0;     ///< were inside out
  std::size_t touching_edges = 0;    ///< with more than two triangles, as many in each sense
  std::size_t turned_triangles = 0;  ///< turned to agree with their neighbours
  double volume = 0.0;               ///< enclosed, overlaps counted twice [m³]
  double surface = 0.0;              ///< area of the skin [m²]
  std::vector<ShellHole> holes;      ///< largest first; empty when the solid is closed
};

/// The surface with its points joined and its triangles in order, and what was found. Does not
/// refuse holes. @throws Error for no triangles, numbers that are not finite or corners out of
/// range.
Shell repaired(const Shell& shell, ShellFindings& findings);

/// The same, for a solid. @throws also GeometryError with place and size of the largest hole when
/// the surface is open.
Shell check_shell(const Shell& shell, ShellFindings* findings = nullptr);

}  // namespace firstshot
