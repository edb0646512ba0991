// How wide the shadow is: the distance of each grid point from the nearest point beside the shadow,
// and the ridge of that distance, which runs along the middle of every channel.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/plane.hpp"
#include "mesh/solid/plan_scan.hpp"

namespace firstshot {

struct WidthMap {
  std::vector<float> distance;        ///< to the rim (n_points) [m], 0 beside the shadow
  std::vector<std::int32_t> nearest;  ///< grid index of the nearest point beside the shadow
};

/// Exact distances between grid points (lower envelope of parabolas in both directions), less half
/// a cell, since the rim lies between two points.
WidthMap width_map(const PlanGrid& grid, const std::vector<std::uint8_t>& inside);

/// A place in the middle between two walls that face each other.
struct RidgePoint {
  std::int32_t index = 0;  ///< of the grid
  Point at;                ///< [m]
  double width = 0.0;      ///< wall to wall [m]
  Point across;            ///< unit vector from wall to wall
};

/// Ridge points whose two nearest walls face each other: bisectors of corners are left out.
std::vector<RidgePoint> ridge(const PlanGrid& grid, const WidthMap& map);

}  // namespace firstshot
