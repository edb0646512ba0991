#include "solver/flow/side_wall.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "solver/numeric/subset_solver.hpp"

namespace firstshot {
namespace {

constexpr double drag_length = 10.0;  // h²/10 in the equation: fitted to exact ducts
constexpr double least_factor = 1e-3;
constexpr double gradient_exponent = 0.7;

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

/// u at the vertices by P1 elements with lumped mass.
std::vector<double> solve_drag(const FineMesh& fine) {
  const std::size_t n = fine.mesh.points.size();
  std::vector<NodePair> pairs;
  std::vector<double> conductance;
  std::vector<double> mass(n, 0.0), source(n, 0.0), u(n, 0.0);
  for (std::size_t k = 0; k < fine.mesh.triangles.size(); ++k) {
    const auto t = make_id<TriId>(k);
    const double third = area(fine.mesh, t) / 3.0;
    const double h = fine.thickness[t];
    for (VertexId v : fine.mesh.triangles[t]) {
      mass[index(v)] += third;
      source[index(v)] += third * h * h / 12.0;
    }
  }
  for (const MeshEdge& e : mesh_edges(fine.mesh)) {
    double c = 0.0;
    for (TriId t : {e.left, e.right}) {
      if (static_cast<std::int32_t>(t) < 0) continue;
      const auto cots = corner_cotangents(fine.mesh, t);
      const Triangle& tri = fine.mesh.triangles[t];
      for (std::size_t k = 0; k < 3; ++k)
        if (tri[k] != e.a && tri[k] != e.b)
          c += 0.5 * cots[k] * fine.thickness[t] * fine.thickness[t] / drag_length;
    }
    pairs.push_back({static_cast<std::int32_t>(e.a), static_cast<std::int32_t>(e.b)});
    conductance.push_back(std::max(c, 0.0));
  }
  std::vector<std::uint8_t> unknown(n);
  for (std::size_t i = 0; i < n; ++i) unknown[i] = fine.wall[i] != 0 ? 0 : 1;
  SubsetSolver solver(n, pairs);
  if (!solver.solve(conductance, mass, source, unknown, u).converged)
    std::fill(u.begin(), u.end(), 0.0);
  return u;
}

}  // namespace

TriField<double> side_wall_factor(const Model& model) {
  TriField<double> factor(model.mesh.triangles.size(), 1.0);
  if (factor.empty()) return factor;
  const FineMesh fine = split_in_four(model);
  const std::vector<double> u = solve_drag(fine);
  for (std::size_t t = 0; t < factor.size(); ++t) {
    double mean = 0.0;
    for (std::size_t part = 0; part < 4; ++part)
      for (VertexId v : fine.mesh.triangles[make_id<TriId>(4 * t + part)])
        mean += u[index(v)] / 12.0;
    const double h = model.thickness[make_id<TriId>(t)];
    factor[make_id<TriId>(t)] = std::clamp(12.0 * mean / (h * h), least_factor, 1.0);
  }
  return factor;
}

double side_wall_gradient_factor(double side_wall_factor) {
  return std::pow(side_wall_factor, gradient_exponent);
}

}  // namespace firstshot
