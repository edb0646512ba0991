#include "mesh/tri_mesh.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>

#include "mesh/plane.hpp"

namespace firstshot {

std::vector<MeshEdge> mesh_edges(const TriMesh& mesh) {
  // Edges are chained by their smaller vertex, so each triangle side finds its partner in a short
  // list.
  std::vector<std::int32_t> first(mesh.points.size(), -1);
  std::vector<std::int32_t> next;
  std::vector<MeshEdge> edges;
  edges.reserve(3 * mesh.triangles.size() / 2 + 16);
  next.reserve(edges.capacity());
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    for (std::size_t k = 0; k < 3; ++k) {
      const VertexId a = mesh.triangles[t][k];
      const VertexId b = mesh.triangles[t][(k + 1) % 3];
      auto& head = first[index(std::min(a, b))];
      std::int32_t e = head;
      while (e >= 0 && !(edges[e].a == b && edges[e].b == a && edges[e].right == TriId{-1})) {
        e = next[e];
      }
      if (e >= 0) {
        edges[e].right = t;
        continue;
      }
      edges.push_back({a, b, t, TriId{-1}});
      next.push_back(head);
      head = static_cast<std::int32_t>(edges.size()) - 1;
    }
  }
  return edges;
}

double area(const TriMesh& mesh, TriId t) {
  const Triangle& c = mesh.triangles[t];
  const Point a = mesh.points[c[0]];
  return 0.5 * cross(mesh.points[c[1]] - a, mesh.points[c[2]] - a);
}

namespace {

/// Scalar product of two vectors of the plane, lifted onto a wall of the given slope.
double lifted_dot(Point a, Point b, Point slope) {
  return dot(a, b) + dot(a, slope) * dot(b, slope);
}

Point slope_of(const TriMesh& mesh, TriId t) {
  return mesh.slope.empty() ? Point{} : mesh.slope[t];
}

std::array<double, 3> cotangents(const TriMesh& mesh, TriId t, Point slope, double area) {
  const Triangle& c = mesh.triangles[t];
  std::array<double, 3> cotangents{};
  for (std::size_t k = 0; k < 3; ++k) {
    const Point p = mesh.points[c[k]];
    cotangents[k] =
        lifted_dot(mesh.points[c[(k + 1) % 3]] - p, mesh.points[c[(k + 2) % 3]] - p, slope) /
        (2.0 * area);
  }
  return cotangents;
}

std::array<double, 3> shares(const TriMesh& mesh, TriId t, Point slope, double whole) {
  const auto cots = cotangents(mesh, t, slope, whole);
  for (std::size_t k = 0; k < 3; ++k) {
    if (cots[k] >= 0.0) continue;
    std::array<double, 3> share{0.25 * whole, 0.25 * whole, 0.25 * whole};
    share[k] = 0.5 * whole;
    return share;
  }
  const Triangle& tri = mesh.triangles[t];
  std::array<double, 3> share{};
  for (std::size_t k = 0; k < 3; ++k) {
    const Point side = mesh.points[tri[(k + 1) % 3]] - mesh.points[tri[(k + 2) % 3]];
    const double eighth = 0.125 * cots[k] * lifted_dot(side, side, slope);
    share[(k + 1) % 3] += eighth;
    share[(k + 2) % 3] += eighth;
  }
  return share;
}

}  // namespace

std::array<double, 3> corner_cotangents(const TriMesh& mesh, TriId t) {
  return cotangents(mesh, t, {}, area(mesh, t));
}

std::array<double, 3> corner_areas(const TriMesh& mesh, TriId t) {
  return shares(mesh, t, {}, area(mesh, t));
}

double rise(const TriMesh& mesh, TriId t) {
  const Point slope = slope_of(mesh, t);
  return std::sqrt(1.0 + dot(slope, slope));
}

double lifted_area(const TriMesh& mesh, TriId t) { return area(mesh, t) * rise(mesh, t); }

std::array<double, 3> lifted_cotangents(const TriMesh& mesh, TriId t) {
  return cotangents(mesh, t, slope_of(mesh, t), lifted_area(mesh, t));
}

std::array<double, 3> lifted_corner_areas(const TriMesh& mesh, TriId t) {
  return shares(mesh, t, slope_of(mesh, t), lifted_area(mesh, t));
}

MeshQuality quality(const TriMesh& mesh) {
  // Right angles in a drawing give cotangents that differ from 0 by rounding only.
  constexpr double rounding = 1e-9;
  MeshQuality q;
  if (mesh.triangles.empty()) return q;
  double sum_of_minima = 0.0;
  q.min_angle_deg = 180.0;
  std::vector<std::array<double, 3>> cotangents(mesh.triangles.size());
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    cotangents[i] = corner_cotangents(mesh, make_id<TriId>(i));
    const double largest = *std::max_element(cotangents[i].begin(), cotangents[i].end());
    const double angle = std::atan2(1.0, largest) * 180.0 / std::numbers::pi;
    q.min_angle_deg = std::min(q.min_angle_deg, angle);
    sum_of_minima += angle;
  }
  q.mean_min_angle_deg = sum_of_minima / static_cast<double>(mesh.triangles.size());
  q.min_edge = std::numeric_limits<double>::max();
  const auto opposite = [&](TriId t, VertexId a, VertexId b) {
    for (std::size_t k = 0; k < 3; ++k) {
      const VertexId c = mesh.triangles[t][k];
      if (c != a && c != b) return cotangents[index(t)][k];
    }
    assert(false);
    return 0.0;
  };
  for (const MeshEdge& edge : mesh_edges(mesh)) {
    const double length = distance(mesh.points[edge.a], mesh.points[edge.b]);
    q.min_edge = std::min(q.min_edge, length);
    q.max_edge = std::max(q.max_edge, length);
    double weight = opposite(edge.left, edge.a, edge.b);
    if (edge.right != TriId{-1}) weight += opposite(edge.right, edge.a, edge.b);
    if (weight < -rounding) ++q.non_delaunay_edges;
  }
  return q;
}

}  // namespace firstshot
