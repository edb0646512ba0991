// Small layouts and measurements that several tests of the mesh layer share.
#pragma once

#include <string>
#include <vector>

#include "mesh/build_model.hpp"
#include "mesh/layout.hpp"

namespace firstshot::test {

inline constexpr double mm = 1e-3;

Area rectangle(const std::string& name, Point low, Point high, double thickness);
Area polygon(const std::string& name, const std::vector<Point>& corners, double thickness);
RunnerLine round_runner(const std::string& name, const std::vector<Point>& points, double diameter);
GateLine gate(const std::string& name, Point from, Point to, double width, double depth);

/// A plate 30 mm × 20 mm × 1 mm with its lower left corner at the origin, fed through a round mouth
/// of 2 mm at (15, 10) mm.
Layout fed_plate();

/// A sprue on a 40 mm runner along x from the origin, and a gate 1 mm × 0.6 mm × 2 mm into a plate
/// 30 mm × 20 mm × 1 mm whose left side is at x = 42 mm, centred on the runner.
Layout frame_of_one();

/// Area covered by the triangles of a region [m²].
double meshed_area(const Model& model, int region);

/// Number of triangles that the straight way from a to b passes through.
int triangles_across(const Model& model, Point a, Point b);

/// Message of the Error that build_model throws, empty when it throws none.
std::string error_of(const Layout& layout, const MeshOptions& options = {});

}  // namespace firstshot::test
