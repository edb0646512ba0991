#include <catch2/catch.hpp>

#include "mesh/rim.hpp"

using namespace firstshot;

namespace {

/// Square of 3 × 3 cells whose middle cell is a hole.
TriMesh holed_square() {
  TriMesh m;
  for (int j = 0; j < 4; ++j)
    for (int i = 0; i < 4; ++i) m.points.push_back({1.0 * i, 1.0 * j});
  const auto at = [](int i, int j) { return static_cast<VertexId>(4 * j + i); };
  for (int j = 0; j < 3; ++j)
    for (int i = 0; i < 3; ++i) {
      if (i == 1 && j == 1) continue;
      m.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
      m.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
    }
  return m;
}

}  // namespace

TEST_CASE("rims are closed, and the one around a hole is told apart", "[mesh]") {
  const TriMesh mesh = holed_square();
  const std::vector<RimLoop> loops = rim_loops(mesh);
  REQUIRE(loops.size() == 2);
  const RimLoop& outer = loops[0].outer ? loops[0] : loops[1];
  const RimLoop& inner = loops[0].outer ? loops[1] : loops[0];
  CHECK(outer.outer);
  CHECK_FALSE(inner.outer);
  CHECK(outer.length() == Approx(12.0));
  CHECK(inner.length() == Approx(4.0));
  CHECK(outer.vertices.size() == 12);
}

TEST_CASE("a rim inside the frame between several pieces is no hole", "[mesh]") {
  Model model;
  model.mesh = holed_square();
  model.mesh.region = TriField<std::int32_t>(model.mesh.triangles.size());
  model.regions = {{"plate", Role::part, false}, {"runner-1", Role::runner, false}};
  const auto outers = [&] {
    int n = 0;
    for (const RimLoop& loop : rim_loops(model)) n += loop.outer ? 1 : 0;
    return n;
  };
  CHECK(outers() == 1);
  for (std::size_t t = 0; t < 6; ++t) model.mesh.region[make_id<TriId>(t)] = 1;
  CHECK(outers() == 2);
}

TEST_CASE("the nearest place on a rim is found by its length along it", "[mesh]") {
  const TriMesh mesh = holed_square();
  const std::vector<RimLoop> loops = rim_loops(mesh);
  const auto place = nearest_rim(mesh, loops, {1.4, -0.25});
  REQUIRE(place);
  CHECK(place->distance == Approx(0.25));
  CHECK(loops[place->loop].outer);
  const auto hole = nearest_rim(mesh, loops, {1.5, 1.1});
  REQUIRE(hole);
  CHECK(hole->distance == Approx(0.1));
  CHECK_FALSE(loops[hole->loop].outer);
  CHECK_FALSE(nearest_rim(mesh, {}, {0.0, 0.0}));
}
