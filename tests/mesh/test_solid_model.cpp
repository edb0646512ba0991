#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "bodies.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"
#include "mesh/solid/build_solid_model.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double mm = 1e-3, mm2 = 1e-6, mm3 = 1e-9;

SolidOptions fed_at(Point at, double element_size = 1.0 * mm) {
  SolidOptions options;
  options.injection = at;
  options.injection_diameter = 1.0 * mm;
  options.mesh.element_size = element_size;
  return options;
}

double plan_area(const Model& model) {
  double sum = 0.0;
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t)
    sum += area(model.mesh, make_id<TriId>(t));
  return sum;
}

double sum_volume(const Model& model) {
  double sum = 0.0;
  for (const double v : region_volumes(model)) sum += v;
  return sum;
}

std::string refusal(const Shell& shell, const SolidOptions& options) {
  return test::refusal_of([&] { build_solid_model(shell, options); });
}

const Shell& plate() {
  static const Shell shell = box({0, 0, 0}, {40 * mm, 20 * mm, 2 * mm});
  return shell;
}

}  // namespace

TEST_CASE("A box becomes a plate of its own thickness, with sharp corners") {
  SolidReport report;
  const Model model = build_solid_model(plate(), fed_at({10 * mm, 10 * mm}), &report);
  CHECK(plan_area(model) == Approx(800 * mm2).epsilon(1e-9));
  CHECK(sum_volume(model) == Approx(1600 * mm3).epsilon(1e-9));
  for (const double h : model.thickness.span()) CHECK(h == Approx(2 * mm));
  CHECK(report.shell.volume == Approx(report.volume).epsilon(1e-9));
  CHECK(report.frame.z.z == 1.0);
}

TEST_CASE("The draw is the axis across which a flat frame lies, whatever its axes are") {
  SolidReport report;
  const Shell upright = box({0, 0, 0}, {40 * mm, 2 * mm, 20 * mm});
  build_solid_model(upright, fed_at({10 * mm, 10 * mm}), &report);
  CHECK(report.frame.z.y == 1.0);
  const Point3 p = report.frame.into({1, 2, 3});
  CHECK(p.x == 3.0);  // cyclic order: z, x, then y along the draw
  CHECK(p.y == 1.0);
  CHECK(p.z == 2.0);
  const Point3 back = report.frame.out_of(p);
  CHECK(back.x == 1.0);
  CHECK(back.y == 2.0);
}

TEST_CASE("A wedge has its volume and its thickness at every place") {
  const Shell wedge = extruded({{0, 0}, {40 * mm, 0}, {40 * mm, 3 * mm}, {0, 1 * mm}}, 0, 20 * mm);
  const Model model = build_solid_model(wedge, fed_at({10 * mm, 10 * mm}));
  // The wall's middle rises by 1 mm on 40 mm: 0.03 % of area, and as much less thickness.
  CHECK(sum_volume(model) == Approx(1600 * mm3).epsilon(1e-9));
  for (std::size_t i = 0; i < model.thickness.size(); ++i) {
    const auto t = make_id<TriId>(i);
    const Triangle& c = model.mesh.triangles[t];
    const double x =
        (model.mesh.points[c[0]].x + model.mesh.points[c[1]].x + model.mesh.points[c[2]].x) / 3;
    REQUIRE(model.thickness[t] ==
            Approx((1 * mm + x / 20) / std::hypot(1.0, 1.0 / 40)).epsilon(1e-6));
  }
}

TEST_CASE("A stepped wedge keeps its volume and the thickness of every step") {
  const Shell steps = extruded({{0, 0},
                                {30 * mm, 0},
                                {30 * mm, 3 * mm},
                                {20 * mm, 3 * mm},
                                {20 * mm, 2 * mm},
                                {10 * mm, 2 * mm},
                                {10 * mm, 1 * mm},
                                {0, 1 * mm}},
                               0, 20 * mm);
  const Model model = build_solid_model(steps, fed_at({15 * mm, 10 * mm}));
  CHECK(sum_volume(model) == Approx(1200 * mm3).epsilon(5e-3));
  for (std::size_t i = 0; i < model.thickness.size(); ++i) {
    const auto t = make_id<TriId>(i);
    double low = 1e9, high = -1e9;
    for (const VertexId v : model.mesh.triangles[t]) {
      low = std::min(low, model.mesh.points[v].x);
      high = std::max(high, model.mesh.points[v].x);
    }
    // No wall slopes, not even where a triangle lies across a step.
    const Point slope = model.mesh.slope[t];
    REQUIRE(std::hypot(slope.x, slope.y) < 1e-6);
    if (std::floor(low / (10 * mm)) != std::floor(high / (10 * mm))) continue;
    REQUIRE(model.thickness[t] == Approx((1 + std::floor(low / (10 * mm))) * mm));
  }
}

TEST_CASE("A frustum and a half sphere lying on their large side keep area and volume") {
  const Shell frustum = turned({20 * mm, 20 * mm}, {{10 * mm, 0}, {8 * mm, 4 * mm}}, 360);
  SolidReport report;
  const Model model = build_solid_model(frustum, fed_at({20 * mm, 20 * mm}), &report);
  CHECK(report.frame.z.z == 1.0);
  CHECK(plan_area(model) == Approx(std::numbers::pi * 100 * mm2).epsilon(1e-3));
  CHECK(sum_volume(model) ==
        Approx(std::numbers::pi * 4 / 3 * (100 + 80 + 64) * mm3).epsilon(2e-3));

  std::vector<Ring> rings;
  for (int k = 0; k < 90; ++k) {
    const double a = k * std::numbers::pi / 180;
    rings.push_back({10 * mm * std::cos(a), 10 * mm * std::sin(a)});
  }
  SolidOptions options = fed_at({0, 0});
  options.draw = Point3{0, 0, 1};
  const Model half = build_solid_model(turned({0, 0}, rings, 360), options);
  CHECK(plan_area(half) == Approx(std::numbers::pi * 100 * mm2).epsilon(1e-3));
  CHECK(sum_volume(half) == Approx(std::numbers::pi * 2000 / 3 * mm3).epsilon(3e-3));
}

TEST_CASE("A tilted plate has the thickness of the plate and its true area") {
  for (const double degrees : {30.0, 60.0}) {
    const double angle = degrees * std::numbers::pi / 180;
    const Shell shell = tilted(box({0, 0, 0}, {40 * mm, 20 * mm, 1 * mm}), angle);
    SolidOptions options = fed_at({20 * mm * std::cos(angle), 10 * mm}, 0.8 * mm);
    options.draw = Point3{0, 0, 1};
    const Model model = build_solid_model(shell, options);
    double lifted = 0.0;
    double true_wall = 0.0;
    for (std::size_t i = 0; i < model.thickness.size(); ++i) {
      const auto t = make_id<TriId>(i);
      lifted += lifted_area(model.mesh, t);
      if (std::abs(model.thickness[t] - 1 * mm) < 1e-6) true_wall += lifted_area(model.mesh, t);
    }
    CHECK(sum_volume(model) == Approx(800 * mm3).epsilon(2e-3));
    CHECK(lifted ==
          Approx(800 * mm2).epsilon(0.04));  // the slanting ends are within h tan α of the rim
    CHECK(true_wall > 0.85 * lifted);
  }
}

TEST_CASE("Shells that overlap are their union") {
  const Shell cross = together(box({0, 8 * mm, 0}, {40 * mm, 12 * mm, 2 * mm}),
                               box({18 * mm, 0, -1 * mm}, {22 * mm, 20 * mm, 1.5 * mm}));
  const Model model = build_solid_model(cross, fed_at({20 * mm, 10 * mm}, 0.8 * mm));
  CHECK(plan_area(model) == Approx((160 + 80 - 16) * mm2).epsilon(1e-6));
  // 4 × 4 mm where they cross reach from -1 to 2 mm.
  CHECK(sum_volume(model) == Approx((320 - 32 + 200 - 40 + 16 * 3) * mm3).epsilon(5e-3));
}

TEST_CASE("An undercut is refused with its place, or filled when it is small") {
  // A tunnel along y through the middle of the plate.
  const Shell drilled =
      together(box({0, 0, 0}, {40 * mm, 20 * mm, 0.8 * mm}),
               together(box({0, 0, 1.2 * mm}, {40 * mm, 20 * mm, 2 * mm}),
                        together(box({0, 0, 0.4 * mm}, {19 * mm, 20 * mm, 1.6 * mm}),
                                 box({21 * mm, 0, 0.4 * mm}, {40 * mm, 20 * mm, 1.6 * mm}))));
  SolidOptions options = fed_at({10 * mm, 10 * mm});
  options.draw = Point3{0, 0, 1};
  const std::string text = refusal(drilled, options);
  CHECK(text.find("undercut") != std::string::npos);
  CHECK(text.find("0.4 mm") != std::string::npos);
  options.undercut_tolerance = 25 * mm;
  SolidReport report;
  build_solid_model(drilled, options, &report);
  REQUIRE(report.undercuts.size() == 1);
  CHECK(report.undercuts[0].gap == Approx(0.4 * mm).epsilon(1e-4));
  CHECK(report.undercuts[0].at.x == Approx(20 * mm).margin(0.2 * mm));
}

TEST_CASE("A hole through the plate is steel") {
  Shell shell;
  // A plate with a square hole: four boxes that touch.
  shell = together(together(box({0, 0, 0}, {40 * mm, 5 * mm, 2 * mm}),
                            box({0, 15 * mm, 0}, {40 * mm, 20 * mm, 2 * mm})),
                   together(box({0, 5 * mm, 0}, {15 * mm, 15 * mm, 2 * mm}),
                            box({25 * mm, 5 * mm, 0}, {40 * mm, 15 * mm, 2 * mm})));
  const Model model = build_solid_model(shell, fed_at({5 * mm, 10 * mm}));
  CHECK(plan_area(model) == Approx(700 * mm2).epsilon(1e-6));
}

TEST_CASE("An injection point beside the solid is refused") {
  CHECK(refusal(plate(), fed_at({50 * mm, 10 * mm})).find("off the frame") != std::string::npos);
}
