#include <cmath>

#include <catch2/catch.hpp>

#include "mesh/tri_mesh.hpp"

using namespace firstshot;

namespace {

/// Two triangles over the points 0, 1, 2 and 0, 2, 3.
TriMesh two_triangles(std::vector<Point> points) {
  TriMesh mesh;
  mesh.points = VertexField<Point>(std::move(points));
  mesh.triangles = TriField<Triangle>(
      {{VertexId{0}, VertexId{1}, VertexId{2}}, {VertexId{0}, VertexId{2}, VertexId{3}}});
  mesh.region = TriField<std::int32_t>(2, 0);
  return mesh;
}

}  // namespace

TEST_CASE("two triangles have five edges, one of them between both", "[mesh]") {
  const auto edges = mesh_edges(two_triangles({{0, 0}, {1, 0}, {1, 1}, {0, 1}}));
  REQUIRE(edges.size() == 5);
  int inner = 0;
  for (const MeshEdge& edge : edges) {
    if (edge.right == TriId{-1}) continue;
    ++inner;
    CHECK(edge.left == TriId{0});
    CHECK(edge.right == TriId{1});
    CHECK(edge.a == VertexId{2});  // left of 2 → 0 lies triangle 0, 1, 2
    CHECK(edge.b == VertexId{0});
  }
  CHECK(inner == 1);
}

TEST_CASE("area and cotangents of a right triangle are exact", "[mesh][analytic]") {
  const TriMesh mesh = two_triangles({{0, 0}, {2, 0}, {2, 1}, {0, 1}});
  CHECK(area(mesh, TriId{0}) == Approx(1.0));
  const auto cot = corner_cotangents(mesh, TriId{0});
  CHECK(cot[0] == Approx(2.0));
  CHECK(cot[1] == Approx(0.0).margin(1e-15));
  CHECK(cot[2] == Approx(0.5));
}

TEST_CASE("quality finds the smallest angle and the extreme edges", "[mesh][analytic]") {
  const MeshQuality q = quality(two_triangles({{0, 0}, {2, 0}, {2, 1}, {0, 1}}));
  CHECK(q.min_angle_deg == Approx(std::atan(0.5) * 180 / M_PI));
  CHECK(q.mean_min_angle_deg == Approx(std::atan(0.5) * 180 / M_PI));
  CHECK(q.min_edge == Approx(1.0));
  CHECK(q.max_edge == Approx(std::sqrt(5.0)));
  CHECK(q.non_delaunay_edges == 0);
}

TEST_CASE("quality counts edges with negative weight inside and on the border", "[mesh]") {
  // A flat rhombus cut along its long diagonal: that edge has two obtuse angles opposite.
  CHECK(quality(two_triangles({{-2, 0}, {0, -1}, {2, 0}, {0, 1}})).non_delaunay_edges == 1);
  // Cut along the short one it is Delaunay.
  CHECK(quality(two_triangles({{0, -1}, {2, 0}, {0, 1}, {-2, 0}})).non_delaunay_edges == 0);
  // A flat triangle on its own: the angle opposite to its base is obtuse.
  TriMesh flat;
  flat.points = VertexField<Point>({{-2, 0}, {2, 0}, {0, 1}});
  flat.triangles = TriField<Triangle>({{VertexId{0}, VertexId{1}, VertexId{2}}});
  CHECK(quality(flat).non_delaunay_edges == 1);
}
