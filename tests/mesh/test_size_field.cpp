#include <random>

#include <catch2/catch.hpp>

#include "mesh/size_field.hpp"

using namespace firstshot;

namespace {

Box unit_box() {
  Box box;
  box.add({0, 0});
  box.add({1, 1});
  return box;
}

}  // namespace

TEST_CASE("the size is the smallest that any feature asks for", "[mesh]") {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const auto point = [&] {
    const double x = unit(random);
    return Point{x, unit(random)};
  };
  std::vector<SizeFeature> features;
  for (int i = 0; i < 200; ++i) {
    const Point a = point();
    features.push_back({a, between(a, point(), 0.05), 0.002 + 0.02 * unit(random)});
  }
  const double open = 0.1;
  const double grading = 0.25;
  const SizeField field(features, open, grading, unit_box());
  for (int i = 0; i < 5000; ++i) {
    const Point p = point();
    double exact = open;
    for (const SizeFeature& f : features) {
      exact = std::min(exact, f.size + grading * foot_on(f.a, f.b, p).distance);
    }
    // One value stands for a square across which the size changes by at most five per cent.
    CHECK(field.at(p) == Approx(exact).epsilon(0.055));
  }
}

TEST_CASE("without features the size is the open size everywhere", "[mesh][limit]") {
  const SizeField field({}, 0.1, 0.25, unit_box());
  CHECK(field.at({0.3, 0.9}) == 0.1);
  CHECK(field.at({0.0, 0.0}) == 0.1);
}

TEST_CASE("the expected number of vertices is that of equilateral triangles", "[mesh][analytic]") {
  const SizeField field({}, 0.01, 0.25, unit_box());
  // The squares reach 2 % beyond the box, 4 % in area.
  CHECK(field.expected_vertices() == Approx(1.0 / (0.8660254 * 1e-4)).epsilon(0.05));
}
