// Rows and columns of a grid over the plane, and where on each the solid's shadow begins and ends:
// exactly, from the triangles that face up, not from samples.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/plane.hpp"
#include "mesh/solid/shell.hpp"

namespace firstshot {

/// Grid of points over the plane. No point lies on a line of a drawing in round numbers.
struct PlanGrid {
  Point low;           ///< first point [m]
  double cell = 0.0;   ///< [m]
  int nx = 0, ny = 0;  ///< points; the shadow never reaches the outermost
  double x(int i) const { return low.x + i * cell; }
  double y(int j) const { return low.y + j * cell; }
  Point at(int i, int j) const { return {x(i), y(j)}; }
  std::size_t index(int i, int j) const {
    return static_cast<std::size_t>(j) * static_cast<std::size_t>(nx) + static_cast<std::size_t>(i);
  }
  std::size_t size() const { return static_cast<std::size_t>(nx) * static_cast<std::size_t>(ny); }
};
PlanGrid plan_grid(const Box& box, double cell);

/// Where the rim of the shadow crosses a line.
struct RimCrossing {
  double at = 0.0;  ///< coordinate along the line [m]
  Point tangent;    ///< direction of the rim there; zero when unknown
};

/// Crossings on each line in rising order: the shadow lies between the first and the second, the
/// third and the fourth, and so on.
struct ScanLines {
  std::vector<std::size_t> start;  ///< (n_lines + 1)
  std::vector<RimCrossing> crossings;
};

/// Shadow on the rows (lines of equal y) of the grid, or on its columns.
ScanLines scan_rows(const Shell& shell, const PlanGrid& grid);
ScanLines scan_columns(const Shell& shell, const PlanGrid& grid);

/// Whether each point of the grid lies in the shadow (n_points), 1 or 0.
std::vector<std::uint8_t> shadow(const PlanGrid& grid, const ScanLines& rows);

}  // namespace firstshot
