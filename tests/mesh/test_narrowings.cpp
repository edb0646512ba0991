// Entrance losses inside the runners of a solid.
#include <catch2/catch.hpp>

#include "bodies.hpp"
#include "mesh/plane.hpp"
#include "mesh/solid/build_solid_model.hpp"
#include "mesh/solid/channel_tree.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double mm = 1e-3, mm2 = 1e-6;

/// Trunk of 4 × 4 mm along x; at x = 20 mm a branch of 3 × 2.5 mm runs 18 mm to +y, at x = 32 mm a
/// stub of 2 × 2 mm runs 2 mm to -y. Branch, stub and trunk end in gates before plates.
Shell frame() {
  Shell all = box({0, -2 * mm, 0}, {50 * mm, 2 * mm, 4 * mm});
  all = together(all, box({18.5 * mm, -1 * mm, 0}, {21.5 * mm, 20 * mm, 2.5 * mm}));
  all = together(all, box({31 * mm, -4 * mm, 0}, {33 * mm, 1 * mm, 2 * mm}));
  const auto plate = [&](Point gate, Point size) {
    const Point end = gate + Point{0, size.y > 0 ? 2 * mm : -2 * mm};
    all = together(all, box({gate.x - 0.5 * mm, std::min(gate.y, end.y) - 0.5 * mm, 0},
                            {gate.x + 0.5 * mm, std::max(gate.y, end.y) + 0.5 * mm, 0.8 * mm}));
    const double middle = end.y + 0.5 * size.y;
    all = together(all, box({gate.x - 0.5 * size.x, middle - 0.5 * std::abs(size.y), 0},
                            {gate.x + 0.5 * size.x, middle + 0.5 * std::abs(size.y), 1.5 * mm}));
  };
  plate({20 * mm, 20 * mm}, {16 * mm, 12 * mm});
  plate({32 * mm, -4 * mm}, {16 * mm, -12 * mm});
  plate({46 * mm, 2 * mm}, {12 * mm, 12 * mm});
  return all;
}

/// Hydraulic radii laid over the runner in a rectangle of the plane: ∫ share dV / section.
double laid(const Model& model, Point low, Point high, double section) {
  double sum = 0.0;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    if (model.regions[model.mesh.region[t]].role != Role::runner) continue;
    const Triangle& c = model.mesh.triangles[t];
    const Point p =
        (1.0 / 3) * (model.mesh.points[c[0]] + model.mesh.points[c[1]] + model.mesh.points[c[2]]);
    if (p.x < low.x || p.y < low.y || p.x > high.x || p.y > high.y) continue;
    sum += model.entrance[t] * area(model.mesh, t) * model.thickness[t];
  }
  return sum / section;
}

}  // namespace

TEST_CASE("branches and stubs of a solid have an entrance loss, their trunk has none", "[mesh]") {
  SolidOptions options;
  options.injection = Point{3 * mm, 0};
  options.mesh.element_size = 1.2 * mm;
  SolidReport report;
  const Model model = build_solid_model(frame(), options, &report);
  REQUIRE(report.gates.size() == 3);
  // 2A/P of 3 × 2.5 and of 2 × 2 mm. A fifth: lines of equal way settle only behind the joint.
  CHECK(laid(model, {10 * mm, 2 * mm}, {30 * mm, 25 * mm}, 7.5 * mm2) ==
        Approx(2 * 7.5 / 11 * mm).epsilon(0.2));
  CHECK(laid(model, {30 * mm, -5 * mm}, {34 * mm, -1 * mm}, 4 * mm2) ==
        Approx(2 * 4.0 / 8 * mm).epsilon(0.2));
  CHECK(laid(model, {0, -2 * mm}, {17 * mm, 2 * mm}, 16 * mm2) == 0.0);
  CHECK(laid(model, {24 * mm, -1 * mm}, {45 * mm, 2 * mm}, 16 * mm2) < 0.1 * mm);
}

TEST_CASE("a runner that tapers is one channel", "[mesh]") {
  // 5 × 4 to 3.5 × 4 mm over 50 mm, a plate at its end.
  Shell all = extruded({{0, 0}, {50 * mm, 0}, {50 * mm, 4 * mm}, {0, 4 * mm}}, -1 * mm, 1 * mm);
  for (Point3& p : all.points) p.y *= (2.5 - 0.75 * p.x / (50 * mm));
  all = together(all, box({45 * mm, 1 * mm, 0}, {46 * mm, 4 * mm, 0.8 * mm}));
  all = together(all, box({35 * mm, 3.5 * mm, 0}, {55 * mm, 15 * mm, 1.5 * mm}));
  SolidOptions options;
  options.injection = Point{3 * mm, 0};
  const Model model = build_solid_model(all, options);
  CHECK(laid(model, {0, -5 * mm}, {60 * mm, 5 * mm}, 16 * mm2) == 0.0);
}

TEST_CASE("a line of equal way measures the section it crosses", "[mesh]") {
  // Duct of 4 × 3 mm, fed over its end.
  SolidOptions options;
  options.draw = Point3{0, 0, 1};
  options.injection = Point{0, 0};
  options.injection_width = 3.9 * mm;
  options.mesh.element_size = 0.6 * mm;
  const Model model = build_solid_model(
      extruded({{-2 * mm, 0}, {2 * mm, 0}, {2 * mm, 3 * mm}, {-2 * mm, 3 * mm}}, 0, 40 * mm),
      options);
  const std::vector<std::uint8_t> inside(model.mesh.triangles.size(), 1);
  std::vector<VertexId> start;
  for (std::size_t v = 0; v < model.mesh.points.size(); ++v)
    if (model.node_of_vertex[make_id<VertexId>(v)] == model.injection)
      start.push_back(make_id<VertexId>(v));
  const Wave wave = run_wave(model.mesh, inside, start);
  const ChannelTree tree = channel_tree(model, inside, wave, 0.5 * mm);
  int whole = 0;
  for (const ChannelSection& s : tree.sections) {
    if (s.level < 8 || s.level > 70) continue;
    ++whole;
    CHECK(s.area == Approx(12 * mm2).epsilon(0.02));
    CHECK(s.perimeter == Approx(14 * mm).epsilon(0.02));
  }
  CHECK(whole == 63);
}
