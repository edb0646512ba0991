#include <cmath>
#include <set>

#include <catch2/catch.hpp>

#include "mesh/flip_mesh.hpp"
#include "mesh/plane.hpp"

using namespace firstshot;

namespace {

/// A fan of six triangles around a vertex that is off the middle of a regular hexagon.
FlipMesh hexagon(Point centre) {
  FlipMesh mesh;
  mesh.points.push_back(centre);
  for (int k = 0; k < 6; ++k) {
    mesh.points.push_back({std::cos(k * M_PI / 3), std::sin(k * M_PI / 3)});
  }
  for (int k = 0; k < 6; ++k) {
    mesh.corners.push_back({0, 1 + k, 1 + (k + 1) % 6});
    mesh.neighbour.push_back({-1, (k + 1) % 6, (k + 5) % 6});
    mesh.fixed.push_back({true, false, false});
  }
  return mesh;
}

double covered(const FlipMesh& mesh) {
  double sum = 0.0;
  for (const auto& c : mesh.corners) {
    sum +=
        0.5 * cross(mesh.points[c[1]] - mesh.points[c[0]], mesh.points[c[2]] - mesh.points[c[0]]);
  }
  return sum;
}

}  // namespace

TEST_CASE("smoothing brings the middle of a hexagon to its centre", "[mesh][analytic]") {
  const FlipMesh result = smoothed(hexagon({0.2, 0.1}), 4);
  CHECK(norm(result.points[0]) < 1e-12);
  CHECK(covered(result) == Approx(1.5 * std::sqrt(3.0)));
}

TEST_CASE("smoothing does not move a vertex on a fixed side", "[mesh]") {
  FlipMesh mesh = hexagon({0.2, 0.1});
  // The sides from the middle to corners 1 and 4 become a border.
  for (const int k : {0, 3}) {
    mesh.fixed[k][2] = true;
    mesh.fixed[(k + 5) % 6][1] = true;
  }
  CHECK(smoothed(mesh, 4).points[0] == Point{0.2, 0.1});
}

TEST_CASE("pieces between fixed sides are told apart", "[mesh]") {
  FlipMesh mesh = hexagon({0, 0});
  CHECK(connected_pieces(mesh) == std::vector<int>{0, 0, 0, 0, 0, 0});
  for (const int k : {0, 3}) {
    mesh.fixed[k][2] = true;
    mesh.fixed[(k + 5) % 6][1] = true;
  }
  CHECK(connected_pieces(mesh) == std::vector<int>{0, 0, 0, 1, 1, 1});
}

TEST_CASE("ordering along the curve keeps every triangle and its neighbours", "[mesh]") {
  const FlipMesh mesh = hexagon({0.1, 0});
  const FlipMesh result = ordered_along_curve(mesh);
  CHECK(covered(result) == Approx(covered(mesh)));
  for (std::size_t t = 0; t < result.corners.size(); ++t) {
    CHECK(result.corners[t][0] < result.corners[t][1]);
    for (std::size_t k = 0; k < 3; ++k) {
      const int u = result.neighbour[t][k];
      CHECK((u < 0) == result.fixed[t][k]);
      if (u < 0) continue;
      std::set<int> common;
      for (const int c : result.corners[t]) {
        for (const int d : result.corners[u]) {
          if (c == d) common.insert(c);
        }
      }
      CHECK(common ==
            std::set<int>{result.corners[t][(k + 1) % 3], result.corners[t][(k + 2) % 3]});
    }
  }
}

TEST_CASE("neighbours along the curve are neighbours in the plane", "[mesh]") {
  FlipMesh mesh;
  constexpr int n = 64;
  for (int j = 0; j < n; ++j) {
    for (int i = 0; i < n; ++i) mesh.points.push_back({i * 1.0, j * 1.0});
  }
  const FlipMesh result = ordered_along_curve(mesh);
  for (std::size_t i = 0; i + 1 < result.points.size(); ++i) {
    // A Hilbert curve through a grid of 2^k points steps to the next point each time.
    CHECK(distance(result.points[i], result.points[i + 1]) <= 1.5);
  }
}
