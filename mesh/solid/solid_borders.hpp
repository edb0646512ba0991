// Outline of a solid as the border graph of the mesher, and the edge lengths it asks for.
#pragma once

#include <array>
#include <functional>
#include <span>
#include <vector>

#include "mesh/borders.hpp"
#include "mesh/build_model.hpp"
#include "mesh/size_field.hpp"
#include "mesh/solid/plan_outline.hpp"
#include "mesh/solid/width_map.hpp"

namespace firstshot {

/// Loops as borders, all of area 0; anticlockwise ones are outlines, the others holes.
Borders solid_borders(const std::vector<PlanLoop>& loops);

/// Makes a cut from rim to rim a border: its ends become points of the loops, or move to corners
/// within `snap` [m] of them; the cut is added to `cuts` with the ends as they became.
void add_cut(std::vector<PlanLoop>& loops, const std::array<Point, 2>& cut, double snap,
             std::vector<std::array<Point, 2>>& cuts);

/// Adds cuts whose ends are points of the graph.
void add_cuts(Borders& borders, std::span<const std::array<Point, 2>> cuts);

/// Number of elements wanted across the place of a ridge point.
using ElementsAcross = std::function<int(const RidgePoint&)>;

/// Features from the width along the ridge and from short sides of the outline.
std::vector<SizeFeature> solid_features(const Borders& borders, std::span<const RidgePoint> ridge,
                                        const ElementsAcross& across, double element_size);

}  // namespace firstshot
