#include "solver/flow/side_wall.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/SparseCore>

namespace firstshot {
namespace {

constexpr double drag_length = 10.0;  // h²/10 in the equation: fitted to exact ducts
constexpr double least_factor = 1e-3;
constexpr double smoothing_length = 0.7;  // in thicknesses
constexpr double exponent_at_zero = 0.46;
constexpr double exponent_rise = 0.35;
constexpr double exponent_cap = 0.7;

/// Triangles cut into four, once: the boundary layer h/√10 is thinner than an element of a wide
/// part.
struct FineMesh {
  TriMesh mesh;
  TriField<double> thickness;
  std::vector<std::uint8_t> wall;  // (n_vertices)
};

std::uint64_t side_key(VertexId a, VertexId b) {
  const auto lo = static_cast<std::uint64_t>(std::min(index(a), index(b)));
  const auto hi = static_cast<std::uint64_t>(std::max(index(a), index(b)));
  return hi << 32U | lo;
}

FineMesh split_in_four(const Model& model) {
  FineMesh fine;
  const TriMesh& coarse = model.mesh;
  fine.mesh.points = coarse.points;
  std::vector<std::uint64_t> open;
  for (const auto& side : model.open_sides) open.push_back(side_key(side[0], side[1]));
  std::sort(open.begin(), open.end());
  // Midpoints by sorted side key.
  const std::vector<MeshEdge> edges = mesh_edges(coarse);
  std::vector<std::pair<std::uint64_t, VertexId>> middle;
  fine.wall.assign(coarse.points.size() + edges.size(), 0);
  for (const MeshEdge& e : edges) {
    const auto id = make_id<VertexId>(fine.mesh.points.size());
    const Point& a = coarse.points[e.a];
    const Point& b = coarse.points[e.b];
    fine.mesh.points.push_back({0.5 * (a.x + b.x), 0.5 * (a.y + b.y)});
    const std::uint64_t key = side_key(e.a, e.b);
    middle.emplace_back(key, id);
    const bool border = static_cast<std::int32_t>(e.right) < 0;
    if (border && !std::binary_search(open.begin(), open.end(), key))
      for (VertexId v : {e.a, e.b, id}) fine.wall[index(v)] = 1;
  }
  std::sort(middle.begin(), middle.end());
  const auto mid = [&](VertexId a, VertexId b) {
    return std::lower_bound(middle.begin(), middle.end(),
                            std::make_pair(side_key(a, b), VertexId{0}))
        ->second;
  };
  for (std::size_t t = 0; t < coarse.triangles.size(); ++t) {
    const Triangle& c = coarse.triangles[make_id<TriId>(t)];
    const VertexId ab = mid(c[0], c[1]);
    const VertexId bc = mid(c[1], c[2]);
    const VertexId ca = mid(c[2], c[0]);
    for (const Triangle& part : {Triangle{c[0], ab, ca}, Triangle{ab, c[1], bc},
                                 Triangle{ca, bc, c[2]}, Triangle{ab, bc, ca}}) {
      fine.mesh.triangles.push_back(part);
      fine.thickness.push_back(model.thickness[make_id<TriId>(t)]);
    }
  }
  return fine;
}

/// Solves x - ∇·(L² ∇x) = r on P1 elements with lumped mass; x = 0 at the `fixed` vertices.
/// Well conditioned (L is a few elements), so conjugate gradients need a few dozen rounds.
/// @param length L of each triangle [m] @param source r of each triangle
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

/// Mean over the three corners of each triangle.
double corner_mean(const TriMesh& mesh, std::size_t triangle, const std::vector<double>& x) {
  double sum = 0.0;
  for (VertexId v : mesh.triangles[make_id<TriId>(triangle)]) sum += x[index(v)];
  return sum / 3.0;
}

TriField<double> newtonian_factor(const Model& model) {
  const FineMesh fine = split_in_four(model);
  std::vector<double> length, source;
  for (double h : fine.thickness.span()) {
    length.push_back(h / std::sqrt(drag_length));
    source.push_back(h * h / 12.0);
  }
  const std::vector<double> u = smooth(fine.mesh, length, source, fine.wall);
  TriField<double> factor(model.mesh.triangles.size());
  for (std::size_t t = 0; t < factor.size(); ++t) {
    double mean = 0.0;
    for (std::size_t part = 0; part < 4; ++part)
      mean += 0.25 * corner_mean(fine.mesh, 4 * t + part, u);
    const double h = model.thickness[make_id<TriId>(t)];
    factor[make_id<TriId>(t)] = std::clamp(12.0 * mean / (h * h), least_factor, 1.0);
  }
  return factor;
}

}  // namespace

SideWall side_wall(const Model& model) {
  SideWall wall;
  if (model.mesh.triangles.empty()) return wall;
  wall.factor = newtonian_factor(model);
  std::vector<double> length;
  for (double h : model.thickness.span()) length.push_back(smoothing_length * h);
  const std::vector<std::uint8_t> free(model.mesh.points.size(), 0);
  const std::vector<double> phi = smooth(model.mesh, length, wall.factor.vector(), free);
  for (std::size_t t = 0; t < wall.factor.size(); ++t) {
    const double mean = std::clamp(corner_mean(model.mesh, t, phi), least_factor, 1.0);
    const double exponent = std::min(exponent_at_zero + exponent_rise * mean, exponent_cap);
    wall.gradient_factor.push_back(std::pow(mean, exponent));
  }
  return wall;
}

}  // namespace firstshot
