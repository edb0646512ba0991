// Joins points of a surface that lie closer than a distance.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

/// Each point is joined with the first kept one within `distance` [m] > 0, in the order given.
/// Appends the kept points to `kept`, which must be empty; returns the number of the kept point for
/// each (n_points).
std::vector<std::int32_t> joined_points(const std::vector<Point3>& points, double distance,
                                        std::vector<Point3>& kept);

}  // namespace firstshot
