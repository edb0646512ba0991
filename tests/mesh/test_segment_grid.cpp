#include <algorithm>
#include <random>

#include <catch2/catch.hpp>

#include "mesh/segment_grid.hpp"

using namespace firstshot;

namespace {

/// Distance between two sides that do not cross: from an end of one to the other.
double gap(const std::array<Point, 2>& s, Point a, Point b) {
  return std::min({foot_on(s[0], s[1], a).distance, foot_on(s[0], s[1], b).distance,
                   foot_on(a, b, s[0]).distance, foot_on(a, b, s[1]).distance});
}

bool cross_each_other(const std::array<Point, 2>& s, Point a, Point b) {
  return (cross(b - a, s[0] - a) > 0) != (cross(b - a, s[1] - a) > 0) &&
         (cross(s[1] - s[0], a - s[0]) > 0) != (cross(s[1] - s[0], b - s[0]) > 0);
}

}  // namespace

TEST_CASE("every side near a line is found, as by looking at all of them", "[mesh]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> place(-1.0, 1.0);
  const auto point = [&] {
    const double x = place(random);
    return Point{x, place(random)};
  };
  std::vector<std::array<Point, 2>> sides;
  for (int i = 0; i < 400; ++i) {
    const Point a = point();
    sides.push_back({a, a + 0.1 * point()});
  }
  sides.push_back({Point{-1, 0.3}, Point{1, 0.3}});
  sides.push_back({Point{0.3, -1}, Point{0.3, 1}});
  const SegmentGrid grid(sides);
  std::vector<int> found;
  for (int query = 0; query < 300; ++query) {
    const Point a = point();
    const Point b = query % 3 == 0 ? a : point();
    const double margin = query % 2 == 0 ? 0.0 : 0.05;
    grid.near(a, b, margin, found);
    CHECK(std::is_sorted(found.begin(), found.end()));
    for (std::size_t s = 0; s < sides.size(); ++s) {
      if (gap(sides[s], a, b) > margin && !cross_each_other(sides[s], a, b)) continue;
      CHECK(std::binary_search(found.begin(), found.end(), static_cast<int>(s)));
    }
  }
}

TEST_CASE("an empty grid finds nothing", "[mesh][limit]") {
  std::vector<int> found = {1, 2};
  SegmentGrid({}).near({0, 0}, {1, 1}, 0.1, found);
  CHECK(found.empty());
}
