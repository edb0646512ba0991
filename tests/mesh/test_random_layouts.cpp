// Random frames: whatever is drawn, the mesh has its properties or a GeometryError says why not.
#include <string>

#include <catch2/catch.hpp>

#include "mesh/error.hpp"
#include "tests/mesh/layouts.hpp"
#include "tests/mesh/random_frame.hpp"

using namespace firstshot;
using namespace firstshot::test;

TEST_CASE("random frames have good meshes or a clear error", "[mesh]") {
  int built = 0;
  for (unsigned seed = 1; seed <= 60; ++seed) {
    CAPTURE(seed);
    const Layout layout = random_frame(seed);
    Model model;
    try {
      model = build_model(layout, {});
    } catch (const GeometryError& error) {
      CAPTURE(error.what());
      CHECK_FALSE(std::string(error.what()).empty());
      continue;
    }
    ++built;
    const MeshQuality q = quality(model.mesh);
    CHECK(q.non_delaunay_edges == 0);
    CHECK(q.mean_min_angle_deg > 42.0);
    CHECK(model.mesh.points.size() < 40000);
    for (const LineElement& line : model.lines.span()) CHECK(line.length > 0.0);
  }
  CHECK(built >= 45);
}

TEST_CASE("a random frame turned and moved as a whole keeps its volumes", "[mesh][balance]") {
  for (unsigned seed = 101; seed <= 110; ++seed) {
    CAPTURE(seed);
    const Layout layout = random_frame(seed);
    Image image;
    image.turn = 0.1 * seed;
    image.move = {37 * mm, -512 * mm};
    const Layout turned = transformed_frame(layout, image);
    const std::string error = error_of(layout);
    if (!error.empty()) {
      CHECK_FALSE(error_of(turned).empty());
      continue;
    }
    const auto a = region_volumes(build_model(layout, {}));
    const auto b = region_volumes(build_model(turned, {}));
    // The corners of a round hole do not turn with the frame, so where one cuts a step it takes a
    // little more of one thickness and less of the other.
    for (std::size_t i = 0; i < a.size(); ++i) CHECK(a[i] == Approx(b[i]).epsilon(1e-3));
  }
}
