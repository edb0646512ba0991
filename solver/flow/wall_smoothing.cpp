#include "solver/flow/wall_smoothing.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/SparseCore>

namespace firstshot {

std::vector<double> smooth(const TriMesh& mesh, const std::vector<double>& length,
                           const std::vector<double>& source,
                           const std::vector<std::uint8_t>& fixed) {
  std::vector<MatrixEntry> entries;
  std::vector<double> right(mesh.points.size(), 0.0);
  for (std::size_t k = 0; k < mesh.triangles.size(); ++k) {
    const auto t = make_id<TriId>(k);
    const Triangle& tri = mesh.triangles[t];
    const double third = area(mesh, t) / 3.0;
    const auto cots = corner_cotangents(mesh, t);
    for (std::size_t c = 0; c < 3; ++c) {
      const auto i = static_cast<int>(tri[c]);
      entries.push_back({i, i, third});
      right[i] += third * source[k];
      const auto a = static_cast<int>(tri[(c + 1) % 3]);
      const auto b = static_cast<int>(tri[(c + 2) % 3]);
      const double w = 0.5 * cots[c] * length[k] * length[k];
      entries.push_back({a, a, w});
      entries.push_back({b, b, w});
      if (fixed[a] != 0 || fixed[b] != 0) continue;
      entries.push_back({a, b, -w});
      entries.push_back({b, a, -w});
    }
  }
  for (std::size_t i = 0; i < right.size(); ++i)
    if (fixed[i] != 0) right[i] = 0.0;
  return solve_symmetric(entries, right);
}

std::vector<double> solve_symmetric(const std::vector<MatrixEntry>& entries,
                                    const std::vector<double>& right) {
  const auto n = static_cast<Eigen::Index>(right.size());
  Eigen::SparseMatrix<double> matrix(n, n);
  matrix.setFromTriplets(entries.begin(), entries.end());
  Eigen::ConjugateGradient<Eigen::SparseMatrix<double>, Eigen::Lower | Eigen::Upper> solver;
  constexpr double tolerance = 1e-8;
  solver.setTolerance(tolerance);
  solver.compute(matrix);
  const Eigen::VectorXd x = solver.solve(Eigen::Map<const Eigen::VectorXd>(right.data(), n));
  return {x.data(), x.data() + x.size()};
}

double gradient_factor_of(double smooth_factor) {
  constexpr double exponent_at_zero = 0.46, exponent_rise = 0.35, exponent_cap = 0.7;
  const double exponent = std::min(exponent_at_zero + exponent_rise * smooth_factor, exponent_cap);
  return std::pow(smooth_factor, exponent);
}

double corner_mean(const TriMesh& mesh, std::size_t triangle, const std::vector<double>& x) {
  double sum = 0.0;
  for (VertexId v : mesh.triangles[make_id<TriId>(triangle)]) sum += x[index(v)];
  return sum / 3.0;
}

}  // namespace firstshot
