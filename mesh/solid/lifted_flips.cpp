#include "mesh/solid/lifted_flips.hpp"

#include <cmath>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Below this slope a mesh of no angle under 25° has no weight to speak of that is negative.
constexpr double least_slope = 0.3;
/// Cotangents sum to less than minus this before a side is flipped: alike sides stay.
constexpr double least_gain = 1e-3;
/// Where slopes differ from triangle to triangle, flips may go round in circles.
constexpr int most_passes = 40;
/// A new triangle has at least this share of both areas.
constexpr double least_share = 0.02;

VertexId opposite(const Triangle& t, VertexId a, VertexId b) {
  for (const VertexId v : t)
    if (v != a && v != b) return v;
  return a;
}

/// Cotangent of the angle at `tip` on a wall of the given slope.
double cotangent(Point tip, Point a, Point b, Point slope) {
  const Point u = a - tip, v = b - tip;
  const double rise = std::sqrt(1.0 + dot(slope, slope));
  return (dot(u, v) + dot(u, slope) * dot(v, slope)) / (std::abs(cross(u, v)) * rise);
}

bool try_flip(TriMesh& mesh, const MeshEdge& e) {
  Triangle &left = mesh.triangles[e.left], &right = mesh.triangles[e.right];
  const VertexId c = opposite(left, e.a, e.b), d = opposite(right, e.a, e.b);
  const Point a = mesh.points[e.a], b = mesh.points[e.b];
  const Point pc = mesh.points[c], pd = mesh.points[d];
  const Point slope = 0.5 * (mesh.slope[e.left] + mesh.slope[e.right]);
  if (!(norm(slope) > least_slope)) return false;
  if (cotangent(pc, a, b, slope) + cotangent(pd, a, b, slope) > -least_gain) return false;
  const double both = cross(b - a, pc - a) + cross(pd - a, b - a);
  // a, d, c and d, b, c in the plane.
  const double first = cross(pd - a, pc - a), second = cross(b - pd, pc - pd);
  if (std::min(first, second) < least_share * both) return false;
  left = {e.a, d, c};
  right = {d, e.b, c};
  mesh.slope[e.left] = mesh.slope[e.right] = slope;
  return true;
}

}  // namespace

std::size_t flip_on_walls(TriMesh& mesh, const std::function<bool(VertexId, VertexId)>& fixed) {
  std::size_t flipped = 0;
  for (int pass = 0; pass < most_passes; ++pass) {
    std::vector<std::uint8_t> touched(mesh.triangles.size(), 0);
    std::size_t here = 0;
    for (const MeshEdge& e : mesh_edges(mesh)) {
      if (e.right == TriId{-1} || mesh.region[e.left] != mesh.region[e.right]) continue;
      if (touched[index(e.left)] != 0 || touched[index(e.right)] != 0 || fixed(e.a, e.b)) continue;
      if (!try_flip(mesh, e)) continue;
      touched[index(e.left)] = touched[index(e.right)] = 1;
      ++here;
    }
    flipped += here;
    if (here == 0) break;
  }
  return flipped;
}

}  // namespace firstshot
