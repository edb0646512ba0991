// Outline of the solid's shadow from its crossings with the rows and columns of a grid.
//
// Marching over the cells gives the order of the crossings, which lie exactly on the rim. In a cell
// where the rim has two directions their lines are brought to intersection, so corners stay sharp
// and straight walls straight. What is narrower than a cell is lost or joined.
#pragma once

#include <vector>

#include "mesh/solid/plan_scan.hpp"

namespace firstshot {

/// Closed line, the shadow on its left: outlines run counter-clockwise, holes clockwise.
using PlanLoop = std::vector<Point>;

/// All outlines and holes that enclose at least four cells, in the order of their first crossing.
std::vector<PlanLoop> plan_loops(const PlanGrid& grid, const std::vector<std::uint8_t>& inside,
                                 const ScanLines& rows, const ScanLines& columns);

/// Fewer corners: first drops points on straight sides, then replaces short sides of curves by
/// corners such that the enclosed area stays the same and no line moves by more than `tolerance`
/// [m]. Corners of more than 40° stay.
PlanLoop simplified(const PlanLoop& loop, double tolerance);

}  // namespace firstshot
