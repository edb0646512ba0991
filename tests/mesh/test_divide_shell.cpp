#include <cmath>
#include <map>
#include <utility>

#include <catch2/catch.hpp>

#include "mesh/solid/divide_shell.hpp"
#include "tests/io/stl_samples.hpp"

using namespace firstshot;

namespace {

double longest_side(const Shell& shell) {
  double most = 0.0;
  for (const auto& t : shell.triangles) {
    for (int k = 0; k < 3; ++k) {
      const Point3 &a = shell.points[t[k]], &b = shell.points[t[(k + 1) % 3]];
      most = std::max(most, std::hypot(a.x - b.x, a.y - b.y, a.z - b.z));
    }
  }
  return most;
}

/// Each side is used once in each sense.
bool is_closed(const Shell& shell) {
  std::map<std::pair<int, int>, int> sides;
  for (const auto& t : shell.triangles)
    for (int k = 0; k < 3; ++k) ++sides[{t[k], t[(k + 1) % 3]}];
  for (const auto& [side, count] : sides)
    if (count != 1 || sides.count({side.second, side.first}) != 1) return false;
  return true;
}

}  // namespace

TEST_CASE("a divided box is the same closed box with short sides", "[mesh]") {
  const Shell box = box_shell(10, 7, 0.5);
  for (const double longest : {20.0, 5.0, 1.0, 0.3}) {
    const Shell fine = divided_shell(box, longest, 1'000'000);
    CHECK(longest_side(fine) <= longest);
    CHECK(is_closed(fine));
    CHECK(enclosed_volume(fine) == Approx(35.0).epsilon(1e-12));
    for (std::size_t i = 0; i < box.points.size(); ++i) CHECK(fine.points[i].x == box.points[i].x);
  }
  CHECK(divided_shell(box, 20.0, 1000).triangles == box.triangles);
}

TEST_CASE("division stops before it has too many triangles", "[mesh]") {
  const Shell fine = divided_shell(box_shell(1000, 1000, 0.001), 0.01, 5000);
  CHECK(fine.triangles.size() <= 5000);
  CHECK(is_closed(fine));
}
