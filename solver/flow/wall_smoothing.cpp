#include "solver/flow/wall_smoothing.hpp"

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/SparseCore>

namespace firstshot {

std::vector<double> smooth(const TriMesh& mesh, const std::vector<double>& length,
                           const std::vector<double>& source,
                           const std::vector<std::uint8_t>& fixed) {
  const auto n = static_cast<Eigen::Index>(mesh.points.size());
  std::vector<Eigen::Triplet<double>> entries;
  Eigen::VectorXd right = Eigen::VectorXd::Zero(n);
  for (std::size_t k = 0; k < mesh.triangles.size(); ++k) {
    const auto t = make_id<TriId>(k);
    const Triangle& tri = mesh.triangles[t];
    const double third = area(mesh, t) / 3.0;
    const auto cots = corner_cotangents(mesh, t);
    for (std::size_t c = 0; c < 3; ++c) {
      const auto i = static_cast<int>(tri[c]);
      entries.emplace_back(i, i, third);
      right[i] += third * source[k];
      const auto a = static_cast<int>(tri[(c + 1) % 3]);
      const auto b = static_cast<int>(tri[(c + 2) % 3]);
      const double w = 0.5 * cots[c] * length[k] * length[k];
      entries.emplace_back(a, a, w);
      entries.emplace_back(b, b, w);
      if (fixed[a] != 0 || fixed[b] != 0) continue;
      entries.emplace_back(a, b, -w);
      entries.emplace_back(b, a, -w);
    }
  }
  for (Eigen::Index i = 0; i < n; ++i)
    if (fixed[i] != 0) right[i] = 0.0;
  Eigen::SparseMatrix<double> matrix(n, n);
  matrix.setFromTriplets(entries.begin(), entries.end());
  Eigen::ConjugateGradient<Eigen::SparseMatrix<double>, Eigen::Lower | Eigen::Upper> solver;
  constexpr double tolerance = 1e-8;
  solver.setTolerance(tolerance);
  solver.compute(matrix);
  const Eigen::VectorXd x = solver.solve(right);
  return {x.data(), x.data() + x.size()};
}

double corner_mean(const TriMesh& mesh, std::size_t triangle, const std::vector<double>& x) {
  double sum = 0.0;
  for (VertexId v : mesh.triangles[make_id<TriId>(triangle)]) sum += x[index(v)];
  return sum / 3.0;
}

}  // namespace firstshot
