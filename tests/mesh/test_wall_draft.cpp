// Draft of the side walls of bodies whose walls are known, and which of them look at steel inside
// the part.
#include <cmath>
#include <numbers>
#include <numeric>

#include <catch2/catch.hpp>

#include "bodies.hpp"
#include "mesh/solid/build_solid_model.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double mm = 1e-3, mm2 = 1e-6;

SideWalls walls_of(const Shell& shell, Point fed_at) {
  SolidOptions options;
  options.injection = fed_at;
  options.injection_diameter = 1.0 * mm;
  options.mesh.element_size = 1.0 * mm;
  options.draw = Point3{0.0, 0.0, 1.0};
  SolidReport report;
  build_solid_model(shell, options, &report);
  REQUIRE(report.walls.size() == 1);
  return report.walls.front();
}

}  // namespace

TEST_CASE("Walls lie in the mould at the angle they were drawn with") {
  // A plate of 40 x 20 x 2 mm whose long sides lean by 3.5 deg; its ends are straight.
  constexpr double lean = 3.5 * std::numbers::pi / 180.0;
  const double in = 2 * mm * std::tan(lean);
  const Shell plate =
      extruded({{0, 0}, {40 * mm, 0}, {40 * mm - in, 2 * mm}, {in, 2 * mm}}, 0, 20 * mm, 4);
  const SideWalls walls = walls_of(plate, {20 * mm, 10 * mm});
  CHECK(walls.core_area() == 0.0);
  const double ends = 2.0 * 2 * mm * (40 * mm - in);
  CHECK(walls.outer[0] == Approx(ends));
  CHECK(walls.outer[3] == Approx(2.0 * 20 * mm * 2 * mm / std::cos(lean)));
  CHECK(walls.outer_area() == Approx(walls.outer[0] + walls.outer[3]));
  CHECK(walls.least_draft == Approx(0.0).margin(1e-9));
  CHECK(walls.at.z < 2 * mm);
}

TEST_CASE("A cone on a plate has its draft, a disc with it all around that draft at least") {
  // Frustum: radius 8 mm at the foot, 4 deg.
  const double top = (8.0 - 3.0 * std::tan(4.5 * std::numbers::pi / 180.0)) * mm;
  const SideWalls walls = walls_of(turned({0, 0}, {{8 * mm, 0}, {top, 3 * mm}}, 180), {0, 0});
  CHECK(walls.least_draft == Approx(4.5).epsilon(2e-3));
  CHECK(walls.outer[4] == Approx(walls.outer_area()));
  CHECK(walls.core_area() == 0.0);
}

TEST_CASE("The walls of an opening and of a channel between two ribs are core, the rest is not") {
  // Four boxes that touch: what lies between them is no wall.
  const Shell window = together(together(box({0, 0, 0}, {40 * mm, 5 * mm, 2 * mm}),
                                         box({0, 15 * mm, 0}, {40 * mm, 20 * mm, 2 * mm})),
                                together(box({0, 5 * mm, 0}, {15 * mm, 15 * mm, 2 * mm}),
                                         box({25 * mm, 5 * mm, 0}, {40 * mm, 15 * mm, 2 * mm})));
  const SideWalls around = walls_of(window, {5 * mm, 10 * mm});
  // Walls are taken in pieces of half a millimetre.
  CHECK(around.core_area() == Approx(4 * 10 * 2 * mm2).epsilon(0.05));
  CHECK(around.outer_area() == Approx(2 * 60 * 2 * mm2).epsilon(0.02));

  const Shell trough = together(box({0, 0, 0}, {40 * mm, 20 * mm, 2 * mm}),
                                together(box({0, 0, 2 * mm}, {3 * mm, 20 * mm, 10 * mm}),
                                         box({37 * mm, 0, 2 * mm}, {40 * mm, 20 * mm, 10 * mm})));
  const SideWalls between = walls_of(trough, {20 * mm, 10 * mm});
  CHECK(between.core_area() == Approx(2 * 20 * 8 * mm2).epsilon(0.03));
  CHECK(between.outer_area() == Approx((2 * 20 * 10 + 2 * 40 * 2 + 4 * 3 * 8) * mm2).epsilon(0.03));

  // One rib alone holds nothing between it and another.
  const Shell rib = together(box({0, 0, 0}, {40 * mm, 20 * mm, 2 * mm}),
                             box({10 * mm, 0, 1 * mm}, {13 * mm, 20 * mm, 10 * mm}));
  CHECK(walls_of(rib, {30 * mm, 10 * mm}).core_area() == 0.0);
}

TEST_CASE("A larger cavity has larger walls at the same draft") {
  SolidReport report;
  report.walls.push_back({});
  report.walls[0].least_draft = 2.0;
  report.walls[0].core[2] = 10 * mm2;
  report.walls[0].at = {1 * mm, 2 * mm, 3 * mm};
  scale(report, 1.5);
  CHECK(report.walls[0].core_area() == Approx(22.5 * mm2));
  CHECK(report.walls[0].least_draft == 2.0);
  CHECK(report.walls[0].at.z == Approx(4.5 * mm));
}
