// A scalar made smooth over the mesh: what the drag of side walls needs of its neighbours.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// Solves x - ∇·(L² ∇x) = r on P1 elements with lumped mass; x = 0 at the `fixed` vertices.
/// Well conditioned (L is a few elements), so conjugate gradients need a few dozen rounds.
/// @param length L of each triangle [m] @param source r of each triangle
std::vector<double> smooth(const TriMesh& mesh, const std::vector<double>& length,
                           const std::vector<double>& source,
                           const std::vector<std::uint8_t>& fixed);

/// Mean over the three corners of each triangle.
double corner_mean(const TriMesh& mesh, std::size_t triangle, const std::vector<double>& x);

}  // namespace firstshot
