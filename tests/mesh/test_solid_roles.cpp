#include <algorithm>
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "bodies.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"
#include "mesh/solid/close_off_solid.hpp"
#include "mesh/solid/gate_shape.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double mm = 1e-3, mm3 = 1e-9;

/// Runner 60 × 3 × 3 mm along x with a plate of 20 × 15 × 1.2 mm on each side, fed through gates of
/// 1.0 × 0.6 × 1.5 mm at x = 10 mm (above) and x = 48 mm (below), and a sprue of 30 mm at x = 30
/// mm.
Shell frame(bool sprue = true) {
  Shell all = box({0, -1.5 * mm, -3 * mm}, {60 * mm, 1.5 * mm, 0});
  all = together(all, box({0, 3 * mm, -1.2 * mm}, {20 * mm, 18 * mm, 0}));
  all = together(all, box({9.5 * mm, 1 * mm, -0.6 * mm}, {10.5 * mm, 4 * mm, 0}));
  all = together(all, box({38 * mm, -18 * mm, -1.2 * mm}, {58 * mm, -3 * mm, 0}));
  all = together(all, box({47.5 * mm, -4 * mm, -0.6 * mm}, {48.5 * mm, -1 * mm, 0}));
  if (sprue)
    all = together(all, turned({30 * mm, 0}, {{2.5 * mm, -1 * mm}, {1.5 * mm, 30 * mm}}, 90));
  return all;
}

double volume_of(const Model& model, Role role) {
  double sum = 0.0;
  const std::vector<double> volumes = region_volumes(model);
  for (std::size_t r = 0; r < volumes.size(); ++r)
    if (model.regions[r].role == role) sum += volumes[r];
  return sum;
}

}  // namespace

TEST_CASE("Runner, parts, gates and sprue of a small frame are found and measured") {
  SolidOptions options;
  SolidReport report;
  const Model model = build_solid_model(frame(), options, &report);
  REQUIRE(report.sprue);
  CHECK(report.sprue->at.x == Approx(30 * mm).margin(0.05 * mm));
  CHECK(report.sprue->length == Approx(30 * mm).epsilon(0.01));
  CHECK(report.sprue->nozzle_diameter == Approx(3 * mm).epsilon(0.03));
  CHECK(report.sprue->foot_diameter == Approx((3 + 2.0 * 30 / 31) * mm).epsilon(0.03));
  REQUIRE(report.gates.size() == 2);
  for (const GateFound& gate : report.gates) {
    CHECK(gate.width == Approx(1.0 * mm).epsilon(1e-6));
    CHECK(gate.depth == Approx(0.6 * mm).epsilon(0.01));
    CHECK(gate.length == Approx(1.5 * mm).epsilon(1e-6));
  }
  CHECK(model.regions[report.gates[0].part].name == "part-1");
  CHECK(report.gates[0].at.x == Approx(10 * mm).margin(0.01 * mm));
  CHECK(report.gates[1].at.x == Approx(48 * mm).margin(0.01 * mm));
  CHECK(volume_of(model, Role::part) == Approx(2 * 360 * mm3).epsilon(5e-3));
  // The foot of the sprue is wider than the runner: two segments 1 mm deep belong to it.
  CHECK(volume_of(model, Role::runner) == Approx(540 * mm3).epsilon(0.015));
  // Gates are channels between mouths as wide as they are, as in layouts.
  REQUIRE(model.channels.size() == 3);
  CHECK(model.channels[2].role == Role::sprue);
  const std::vector<double> volumes = channel_volumes(model);
  for (std::size_t g = 0; g < 2; ++g) {
    CHECK(model.channels[g].role == Role::gate);
    CHECK(model.channels[g].feeds == report.gates[g].part);
    CHECK(volumes[g] == Approx(0.9 * mm3).epsilon(0.01));
  }
  double open = 0.0;
  for (const auto& [a, b] : model.open_sides)
    open += distance(model.mesh.points[a], model.mesh.points[b]);
  CHECK(open == Approx(4 * 1.0 * mm).epsilon(1e-6));
}

TEST_CASE("A gate of a solid is plugged, a part blocked off, and what is behind goes too") {
  SolidReport report;
  const Model whole = build_solid_model(frame(), {}, &report);
  const std::vector<double> volumes = region_volumes(whole);
  const auto fed_by = [&](const std::string& name) {
    for (const GateFound& g : report.gates)
      if (g.name == name) return whole.regions[static_cast<std::size_t>(g.part)].name;
    return std::string();
  };
  const std::string gate = report.gates[0].name, part = fed_by(gate);
  for (const ShutOff& shut : {ShutOff{{gate}, {}}, ShutOff{{}, {part}}}) {
    Model model = whole;
    SolidReport left = report;
    const ClosedPieces gone = close_off(model, left, shut);
    CHECK(gone.gates == std::vector<std::string>{gate});
    CHECK(gone.parts == std::vector<std::string>{part});
    REQUIRE(model.regions.size() + 1 == whole.regions.size());
    REQUIRE(left.gates.size() == 1);
    REQUIRE(left.walls.size() == 1);
    CHECK(left.walls[0].part != part);
    CHECK(model.regions[static_cast<std::size_t>(left.gates[0].part)].name ==
          fed_by(left.gates[0].name));
    // What stays is as it was.
    const std::vector<double> after = region_volumes(model);
    std::size_t k = 0;
    for (std::size_t r = 0; r < whole.regions.size(); ++r) {
      if (whole.regions[r].name == gate || whole.regions[r].name == part) continue;
      CHECK(model.regions[k].name == whole.regions[r].name);
      CHECK(after[k++] == Approx(volumes[r]).epsilon(1e-12));
    }
    CHECK(model.relief.size() == model.mesh.triangles.size());
    CHECK(model.entrance.size() == model.mesh.triangles.size());
    CHECK(model.n_nodes() < whole.n_nodes());
    for (const NodeId n : model.node_of_vertex.span()) CHECK(index(n) < model.n_nodes());
    REQUIRE(model.channels.size() + 1 == whole.channels.size());
    const auto lines_of = [](const Model& m, std::size_t channel) {
      return std::count_if(m.lines.span().begin(), m.lines.span().end(), [&](const auto& line) {
        return static_cast<std::size_t>(line.channel) == channel;
      });
    };
    for (std::size_t c = 0; c < model.channels.size(); ++c)
      CHECK(lines_of(model, c) == lines_of(whole, c + 1));
    CHECK(model.channels[0].name == left.gates[0].name);
    // Where the gate began is a wall now, every vertex with a node of its own.
    double open = 0.0;
    for (const auto& [a, b] : model.open_sides)
      open += distance(model.mesh.points[a], model.mesh.points[b]);
    CHECK(open == Approx(2 * 1.0 * mm).epsilon(1e-6));
    std::size_t shared = 0;
    for (const MeshEdge& e : mesh_edges(model.mesh))
      if (model.node_of_vertex[e.a] == model.node_of_vertex[e.b] && e.right == TriId{-1}) ++shared;
    CHECK(shared == model.open_sides.size());
    const Point3 &here = model.position[model.injection], &there = whole.position[whole.injection];
    CHECK(here.x == there.x);
    CHECK(here.y == there.y);
  }
  Model model = whole;
  CHECK_THROWS_WITH(close_off(model, report, {{}, {"nose"}}),
                    Catch::Contains("\"nose\"") && Catch::Contains(part));
  CHECK_THROWS_WITH(close_off(model, report, {{report.gates[0].name, report.gates[1].name}, {}}),
                    Catch::Contains("nothing is left"));
}

TEST_CASE("Parts bear the names of the points inside them, the others a number by place") {
  SolidOptions options;
  options.parts = {{"bow", {50 * mm, -10 * mm}, true, ""}};
  const Model model = build_solid_model(frame(), options);
  std::vector<std::string> parts;
  for (const Region& region : model.regions)
    if (region.role == Role::part) parts.push_back(region.name + (region.visible ? "!" : ""));
  CHECK(parts == std::vector<std::string>{"part-1", "bow!"});
  options.parts.push_back({"stern", {52 * mm, -10 * mm}, false, ""});
  CHECK_THROWS_AS(build_solid_model(frame(), options), GeometryError);
  options.parts[1].inside = {30 * mm, 30 * mm};
  SolidReport report;
  build_solid_model(frame(), options, &report);
  CHECK(report.unused_marks == std::vector<std::string>{"stern"});
}

TEST_CASE("Without a sprue the injection point must be given") {
  SolidOptions options;
  CHECK_THROWS_AS(build_solid_model(frame(false), options), GeometryError);
  options.injection = Point{30 * mm, 0};
  SolidReport report;
  const Model model = build_solid_model(frame(false), options, &report);
  CHECK(!report.sprue);
  CHECK(report.gates.size() == 2);
  CHECK(model.channels.size() == 2);
}

TEST_CASE("Six elements lie across a runner and four across the mouth of a gate") {
  SolidOptions options;
  options.injection = Point{30 * mm, 0};
  SolidReport report;
  const Model model = build_solid_model(frame(false), options, &report);
  double runner = 0.0;
  std::size_t n_runner = 0;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    const Role role = model.regions[model.mesh.region[t]].role;
    if (role == Role::runner) runner += area(model.mesh, t), ++n_runner;
  }
  // Edge of an equilateral triangle of the mean area.
  const auto edge = [](double sum, std::size_t n) {
    return std::sqrt(sum / static_cast<double>(n) * 4 / std::sqrt(3.0));
  };
  CHECK(edge(runner, n_runner) < 3.0 * mm / 6 * 1.15);
  CHECK(model.open_sides.size() >= 4 * 2 * report.gates.size());
}

TEST_CASE("A plate alone is one part") {
  SolidOptions options;
  options.injection = Point{10 * mm, 10 * mm};
  const Model model = build_solid_model(box({0, 0, 0}, {40 * mm, 20 * mm, 2 * mm}), options);
  REQUIRE(model.regions.size() == 1);
  CHECK(model.regions[0].name == "part-1");
}

TEST_CASE("A gate keeps the kind of its section") {
  // Profiles of the chord across a gate 1 mm wide.
  const auto profile = [](double depth, double deepest) {
    return SectionAcross{{}, 1 * mm, depth * mm, deepest * mm, 0.0, 0.0};
  };
  const auto same = [](const SectionAcross& s) { return alike_section(s, s); };
  CHECK(kind_name(same(profile(0.7, 0.7))) == "rectangle");
  CHECK(kind_name(same(profile(0.785, 1.0))) == "round");
  CHECK(kind_name(same(profile(0.3927, 0.5))) == "half_round");
  // A square trapezoid, draft 11.3°, fills 0.8 of its width as a circle nearly does.
  SectionAcross square = profile(0.8, 1.0);
  square.perimeter = (1 + 0.6 + 2 * std::hypot(1.0, 0.2)) * mm;
  CHECK(kind_name(same(square)) == "trapezoid");
  square.perimeter = 3.17 * mm;
  CHECK(kind_name(same(square)) == "round");
  const SectionAcross sloped = profile(0.6, 0.7);
  CHECK(kind_name(same(sloped)) == "trapezoid");
  CHECK(depth(same(sloped)) == Approx(0.7 * mm));
  CHECK(kind_name(same(profile(0.3, 0.7))) == "rectangle");  // a notch: area alone is kept
  for (const SectionAcross& s :
       {profile(0.7, 0.7), profile(0.785, 1.0), profile(0.3927, 0.5), sloped, profile(0.3, 0.7)})
    for (const SectionAcross& kind : {s, sloped})
      CHECK(area(alike_section(kind, s)) == Approx(s.area()).epsilon(1e-3));
}
