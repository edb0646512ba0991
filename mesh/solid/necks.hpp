// Pieces of the frame between its necks: a neck is a place where half width × chord falls to less
// than half of what it is on both of its sides.
//
// The product is flooded from its peaks downwards; two floods that meet at a place of more than
// half of the lower peak become one, others stay apart and meet at a neck.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/solid/column_grid.hpp"

namespace firstshot {

struct Neck {
  std::int32_t a = 0, b = 0;  ///< pieces on its sides, a < b
  Point at;                   ///< widest place of the narrowest stretch [m]
  double measure = 0.0;       ///< half width × chord there [m²]
};

struct Necks {
  std::vector<std::int32_t> piece;  ///< (n_points) of the grid, -1 beside the shadow
  std::int32_t n_pieces = 0;
  std::vector<Neck> necks;  ///< each pair of pieces at most once for each place they meet
  /// Piece at the nearest grid point that has one; -1 when there is none within three cells.
  std::int32_t at(const PlanGrid& grid, Point p) const;
};

Necks find_necks(const ColumnGrid& columns);

}  // namespace firstshot
