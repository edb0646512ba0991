#include "solver/flow/side_wall.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "solver/flow/relief_wall.hpp"
#include "solver/flow/wall_smoothing.hpp"

namespace firstshot {
namespace {

constexpr double drag_length = 10.0;  // h²/10 in the equation: fitted to exact ducts
constexpr double least_factor = 1e-3;

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
  if (!model.relief.empty()) return relief_wall(model);
  wall.factor = newtonian_factor(model);
  std::vector<double> length;
  for (double h : model.thickness.span()) length.push_back(smoothing_length * h);
  const std::vector<std::uint8_t> free(model.mesh.points.size(), 0);
  const std::vector<double> phi = smooth(model.mesh, length, wall.factor.vector(), free);
  for (std::size_t t = 0; t < wall.factor.size(); ++t) {
    const double mean = std::clamp(corner_mean(model.mesh, t, phi), least_factor, 1.0);
    wall.gradient_factor.push_back(gradient_factor_of(mean));
  }
  return wall;
}

}  // namespace firstshot
