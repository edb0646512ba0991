#include <cmath>
#include <limits>
#include <random>

#include <catch2/catch.hpp>

#include "mesh/build_model.hpp"
#include "mesh/nearest_node.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;

namespace {

/// By looking at every node.
double least_distance(const Model& model, const Point3& at, NodeId& best) {
  double least = std::numeric_limits<double>::infinity();
  const auto look = [&](const Point3& p, NodeId node) {
    const double d = std::hypot(p.x - at.x, p.y - at.y, p.z - at.z);
    if (d < least) least = d, best = node;
  };
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    const Point& p = model.mesh.points[make_id<VertexId>(i)];
    look({p.x, p.y, 0.0}, model.node_of_vertex[make_id<VertexId>(i)]);
  }
  for (const LineElement& line : model.lines.span()) {
    look(model.position[line.from], line.from);
    look(model.position[line.to], line.to);
  }
  return least;
}

}  // namespace

TEST_CASE("the nearest node is the one that a search through all finds", "[mesh]") {
  MeshOptions options;
  options.element_size = 2e-3;
  const Model model = build_model(test::frame_of_one(), options);
  const NearestNode nearest(model);
  std::mt19937 random(1);  // NOLINT: the same places in every run
  std::uniform_real_distribution<double> in_plane(-0.08, 0.08), height(-0.01, 0.05);
  for (int i = 0; i < 2000; ++i) {
    const Point3 at{in_plane(random), in_plane(random), height(random)};
    NodeId expected{};
    least_distance(model, at, expected);
    CHECK(index(nearest.of(at)) == index(expected));
  }
}
