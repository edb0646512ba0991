// The measurements that other tests rest on.
#include <catch2/catch.hpp>

#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

TEST_CASE("the measurements agree with a mesh of two triangles", "[mesh]") {
  Model model;
  model.mesh.points = VertexField<Point>({{0, 0}, {2, 0}, {2, 1}, {0, 1}});
  model.mesh.triangles = TriField<Triangle>(
      {{VertexId{0}, VertexId{1}, VertexId{2}}, {VertexId{0}, VertexId{2}, VertexId{3}}});
  model.mesh.region = TriField<std::int32_t>(std::vector<std::int32_t>{0, 1});
  CHECK(meshed_area(model, 0) == Approx(1.0));
  CHECK(meshed_area(model, 1) == Approx(1.0));
  CHECK(triangles_across(model, {1, -0.5}, {1, 1.5}) == 2);
  CHECK(triangles_across(model, {3, 0}, {3, 1}) == 0);
}
