// Balance of a whole frame, filled and held: two halves that are alike must fare alike.
#include <cmath>
#include <iostream>

#include <catch2/catch.hpp>

#include "mesh/build_model.hpp"
#include "mesh/image.hpp"
#include "solver/whole/frame_balance.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/mesh/layouts.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

using test::mm;
constexpr double cm3 = 1e-6;
/// General-purpose polystyrene; Flaman 1990, Zoetelief et al. 1996, from memory, unconfirmed.
const CrossWlf gpps{0.252, 3.08e4, 4.76e10, 373.15, 0.0, 25.74, 61.06};

/// What lies right of the sprue: a wall with a window, a stepped plate and a block, all different.
Layout right_half() {
  Layout l;
  l.sprue = Sprue{{0, 0}, 30 * mm, 3 * mm, 5 * mm, ""};
  l.runners = {test::round_runner("main", {{0, 0}, {34 * mm, 0}}, 4 * mm)};
  l.areas = {
      test::polygon("wall",
                    {{8 * mm, 6 * mm}, {34 * mm, 6 * mm}, {30 * mm, 22 * mm}, {12 * mm, 18 * mm}},
                    1.2 * mm),
      test::rectangle("plate", {6 * mm, -22 * mm}, {30 * mm, -6 * mm}, 1.0 * mm),
      test::rectangle("block", {36 * mm, -4 * mm}, {44 * mm, 4 * mm}, 2.0 * mm)};
  l.areas[0].holes.push_back(CircleShape{{20 * mm, 13 * mm}, 5 * mm});
  l.areas[1].steps.push_back({RectangleShape{{20 * mm, -14 * mm}, 8 * mm, 6 * mm}, 0.7 * mm, ""});
  l.gates = {test::gate("g-wall", {18 * mm, 0}, {18 * mm, 6 * mm}, 1.2 * mm, 0.8 * mm),
             test::gate("g-plate", {12 * mm, 0}, {12 * mm, -6 * mm}, 1.2 * mm, 0.8 * mm),
             test::gate("g-block", {34 * mm, 0}, {36 * mm, 0}, 1.0 * mm, 0.7 * mm)};
  return l;
}

/// Both halves as one drawing, to be meshed without regard to the symmetry.
Layout whole_frame() {
  Layout l = right_half();
  Image image;
  image.mirror = {{Point{0.0, 0.0}, Point{0.0, 1.0}}};
  const Layout half = l;
  for (const Area& a : half.areas) {
    image.name = a.name + "-left";
    l.areas.push_back(transformed(a, image));
  }
  l.runners.push_back(test::round_runner("main-left", {{0, 0}, {-34 * mm, 0}}, 4 * mm));
  for (GateLine g : half.gates) {
    g.name += "-left";
    g.from.x = -g.from.x;
    g.to.x = -g.to.x;
    l.gates.push_back(g);
  }
  return l;
}

/// A model and its mirror image in x = 0, joined in the nodes there.
/// @param image receives the node of the image for each node of the half
Model with_mirror_image(const Model& half, std::vector<NodeId>& image) {
  Model m = half;
  image.clear();
  for (const Point3& p : half.position.span()) {
    const bool shared = std::abs(p.x) < 1e-9;
    image.push_back(shared ? make_id<NodeId>(image.size()) : make_id<NodeId>(m.n_nodes()));
    if (!shared) m.position.push_back({-p.x, p.y, p.z});
  }
  const auto vertices = half.mesh.points.size();
  const auto other = [&](VertexId v) { return make_id<VertexId>(index(v) + vertices); };
  for (std::size_t i = 0; i < vertices; ++i) {
    const auto v = make_id<VertexId>(i);
    m.mesh.points.push_back({-half.mesh.points[v].x, half.mesh.points[v].y});
    m.node_of_vertex.push_back(image[index(half.node_of_vertex[v])]);
  }
  const auto regions = static_cast<std::int32_t>(half.regions.size());
  for (std::size_t i = 0; i < half.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    const Triangle& c = half.mesh.triangles[t];
    m.mesh.triangles.push_back({other(c[0]), other(c[2]), other(c[1])});
    m.mesh.region.push_back(half.mesh.region[t] + regions);
    m.thickness.push_back(half.thickness[t]);
  }
  for (const auto& side : half.open_sides) m.open_sides.push_back({other(side[0]), other(side[1])});
  for (Region r : half.regions) {
    r.name += "-left";
    m.regions.push_back(r);
  }
  const auto channels = static_cast<std::int32_t>(half.channels.size());
  for (Channel c : half.channels) {
    c.name += "-left";
    if (c.feeds >= 0) c.feeds += regions;
    m.channels.push_back(c);
  }
  for (LineElement e : half.lines.span()) {
    const NodeId from = image[index(e.from)], to = image[index(e.to)];
    if (from == e.from && to == e.to) continue;  // the sprue is there once
    e.from = from;
    e.to = to;
    e.channel += channels;
    m.lines.push_back(e);
  }
  return m;
}

Setup moulded(Model model, double tolerance, int volume_steps) {
  Setup s = sample::isothermal_fill(std::move(model), gpps, 20 * cm3, volume_steps);
  s.isothermal = false;
  s.process.entrance_length = 3.0;
  s.process.barrel_compressible = true;
  s.process.switch_over = {SwitchOverKind::volume, 0.98};
  s.material.no_flow_temperature = 400.0;
  s.air.enabled = true;
  s.air.parting_line_gap = 10e-6;
  s.air.smallest_pocket = 1e-9;
  s.accuracy.layers = 8;
  s.accuracy.tolerance = tolerance;
  return s;
}

MeshOptions mesh_size(double element) {
  MeshOptions options;
  options.element_size = element;
  return options;
}

/// Largest difference between a part and its image: of the times when melt comes and when it is
/// full over the fill time, of the held mass over that of the part.
double unevenness(const Result& r) {
  double most = 0.0;
  const std::size_t half = r.parts.size() / 2;
  for (std::size_t k = 0; k < half; ++k) {
    const PartResult &a = r.parts[k], &b = r.parts[k + half];
    REQUIRE(b.name == a.name + "-left");
    most = std::max({most, std::abs(a.first_melt - b.first_melt) / r.fill_time,
                     std::abs(a.full - b.full) / r.fill_time,
                     std::abs(part_mass(r, a) / part_mass(r, b) - 1.0)});
  }
  return most;
}

}  // namespace

TEST_CASE("a symmetric frame on a mirrored mesh is balanced to rounding", "[verify][balance]") {
  std::vector<NodeId> image;
  const Model half = build_model(right_half(), mesh_size(2.5 * mm));
  const Setup setup = moulded(with_mirror_image(half, image), 1e-8, 40);
  const Result r = run_case(setup);
  REQUIRE(r.outcome == Outcome::filled);
  REQUIRE(r.hold.held);
  double arrival = 0.0;
  for (std::size_t i = 0; i < image.size(); ++i)
    arrival = std::max(arrival, std::abs(r.state.arrival.vector()[i] - r.state.arrival[image[i]]));
  const FrameFigures melt = frame_figures(setup.model, 1000.0), held = as_held(setup, r, melt);
  std::cout << "mirrored mesh: arrival " << arrival / r.fill_time << ", parts " << unevenness(r)
            << ", weight " << std::abs(held.mass_left - held.mass_right) / held.mass << "\n";
  // Rounding of 1e-16 per operation; with heat it grows where the melt is about to stop, as in
  // test_identities.cpp.
  constexpr double rounding = 1e-6;
  CHECK(arrival / r.fill_time < rounding);
  CHECK(unevenness(r) < rounding);
  CHECK(std::abs(melt.mass_left - melt.mass_right) < 1e-12 * melt.mass);
  CHECK(std::abs(held.mass_left - held.mass_right) < rounding * held.mass);
  CHECK(held.mass == Approx(r.hold.shot_mass).epsilon(1e-12));
  // Above and below are not alike, left and right are full together.
  CHECK(std::abs(held.mass_top - held.mass_bottom) > 0.01 * held.mass);
  for (const SideChange& c : r.sides) CHECK((c.first == Side::top || c.first == Side::bottom));
  for (const Finding& f : r.verdict.findings) CHECK(f.rule != "weight_left_right");
}

TEST_CASE("a symmetric frame meshed without regard to it is balanced within 1 %",
          "[verify][balance]") {
  const Setup setup = moulded(build_model(whole_frame(), mesh_size(1.2 * mm)), 0.01, 100);
  const Result r = run_case(setup);
  REQUIRE(r.outcome == Outcome::filled);
  REQUIRE(r.hold.held);
  const FrameFigures held = as_held(setup, r, frame_figures(setup.model, 1000.0));
  std::cout << "meshed anew: parts " << unevenness(r) << ", weight "
            << std::abs(held.mass_left - held.mass_right) / held.mass << "\n";
  CHECK(unevenness(r) < 0.01);
  CHECK(std::abs(held.mass_left - held.mass_right) < 0.01 * held.mass);
}
