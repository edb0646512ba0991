#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/joint_overlap.hpp"

using namespace firstshot;

namespace {

LegEnd leg(double degrees, double width, int joint = 0) {
  const double angle = degrees * std::numbers::pi / 180.0;
  return {joint, {std::cos(angle), std::sin(angle)}, width};
}

}  // namespace

TEST_CASE("a branch lies inside a runner by half of the runner's width", "[mesh]") {
  const auto inside = joint_overlaps(std::vector{leg(0, 4.0), leg(180, 4.0), leg(90, 2.0)});
  CHECK(inside[0] == 0.0);
  CHECK(inside[1] == 0.0);
  CHECK(inside[2] == Approx(2.0));
}

TEST_CASE("an oblique branch lies inside by more", "[mesh]") {
  const auto inside = joint_overlaps(std::vector{leg(0, 4.0), leg(180, 4.0), leg(30, 2.0)});
  CHECK(inside[2] == Approx(4.0));
}

TEST_CASE("where two runners cross, the wider one runs through", "[mesh]") {
  const auto inside =
      joint_overlaps(std::vector{leg(90, 3.0), leg(0, 4.0), leg(270, 3.0), leg(180, 4.0)});
  CHECK(inside[0] == Approx(2.0));
  CHECK(inside[1] == 0.0);
  CHECK(inside[2] == Approx(2.0));
}

TEST_CASE("bends, ends and other joints take nothing away", "[mesh]") {
  for (const double inside : joint_overlaps(
           std::vector{leg(0, 4.0, 1), leg(90, 4.0, 1), leg(180, 4.0, 2), leg(0, 3.0, 3)}))
    CHECK(inside == 0.0);
}
