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

/// Entry of a symmetric positive definite matrix; entries at the same place are added.
struct MatrixEntry {
  int at_row, at_column;
  double amount;
  int row() const { return at_row; }
  int col() const { return at_column; }
  double value() const { return amount; }
};
/// Solves such a system of right.size() unknowns by conjugate gradients to 1e-8 relative.
std::vector<double> solve_symmetric(const std::vector<MatrixEntry>& entries,
                                    const std::vector<double>& right);

/// Length over which F is made smooth before B is read off it, in thicknesses.
inline constexpr double smoothing_length = 0.7;
/// B, the factor on the gradient of a thinning melt, from F made smooth across the channel, in
/// (0, 1]; fitted to exact ducts (DEVELOPERS.md).
double gradient_factor_of(double smooth_factor);

/// Mean over the three corners of each triangle.
double corner_mean(const TriMesh& mesh, std::size_t triangle, const std::vector<double>& x);

}  // namespace firstshot
