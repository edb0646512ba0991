#include <catch2/catch.hpp>

#include "solver/assess/frame_figures.hpp"
#include "solver/assess/frame_notes.hpp"
#include "solver/assess/side_weights.hpp"

namespace firstshot {
namespace {

/// A plate of 40 x 10 mm from x = -10 to x = 30 in two triangles, 2 mm thick, and a round channel
/// of 4 mm along the x axis from -20 to -10; the injection point is at the origin.
Model plate_and_channel() {
  Model m;
  m.mesh.points = VertexField<Point>(
      std::vector<Point>{{-0.01, -0.005}, {0.03, -0.005}, {0.03, 0.005}, {-0.01, 0.005}});
  const auto v = [](int i) { return static_cast<VertexId>(i); };
  m.mesh.triangles =
      TriField<Triangle>(std::vector<Triangle>{{v(0), v(1), v(2)}, {v(0), v(2), v(3)}});
  m.mesh.region = TriField<std::int32_t>(2, 0);
  m.thickness = TriField<double>(2, 2e-3);
  m.regions = {{"plate", Role::part, true}};
  m.channels = {{"g", Role::gate, 0}};
  m.node_of_vertex =
      VertexField<NodeId>(std::vector<NodeId>{NodeId{0}, NodeId{1}, NodeId{2}, NodeId{0}});
  m.position = NodeField<Point3>(std::vector<Point3>{
      {-0.01, 0, 0}, {0.03, -0.005, 0}, {0.03, 0.005, 0}, {-0.02, 0, 0}, {0, 0, 0.03}});
  LineElement e;
  e.from = NodeId{3};
  e.to = NodeId{0};
  e.length = 0.01;
  e.start = e.end = RoundSection{4e-3};
  m.lines = LineField<LineElement>(std::vector<LineElement>{e});
  m.injection = NodeId{4};
  return m;
}

constexpr double density = 1000.0;

}  // namespace

TEST_CASE("the share of a triangle left of a line is exact", "[solver][analytic]") {
  const Point a{0, 0}, b{4, 0}, c{0, 3};
  CHECK(share_below(a, b, c, -1.0) == 0.0);
  CHECK(share_below(a, b, c, 0.0) == 0.0);
  CHECK(share_below(a, b, c, 4.0) == 1.0);
  CHECK(share_below(a, b, c, 5.0) == 1.0);
  // Cut parallel to one leg: the piece on the right is a similar triangle of half the size.
  CHECK(share_below(a, b, c, 2.0) == Approx(0.75));
  // Middle corner inside: halves of a triangle that is symmetric about x = 1.
  CHECK(share_below({0, 0}, {2, 0}, {1, 5}, 1.0) == Approx(0.5));
  CHECK(share_below({0, 0}, {2, 0}, {1, 5}, 0.5) == Approx(0.125));
  CHECK(share_below({0, 0}, {2, 0}, {1, 5}, 1.5) == Approx(0.875));
}

TEST_CASE("weights on the two sides of the injection point add up to the shot",
          "[solver][balance]") {
  const FrameFigures f = frame_figures(plate_and_channel(), density);
  const double plate = 0.04 * 0.01 * 2e-3, channel = 3.14159265358979 / 4 * 16e-6 * 0.01;
  REQUIRE(f.parts.size() == 1);
  CHECK(f.parts[0].volume == Approx(plate));
  CHECK(f.parts[0].area == Approx(4e-4));
  CHECK(f.parts[0].centre.x == Approx(0.01));
  CHECK(f.parts[0].centre.y == Approx(0.0).margin(1e-12));
  CHECK(f.volume == Approx(plate + channel));
  CHECK(f.runner_share == Approx(channel / (plate + channel)));
  CHECK(f.mass_left == Approx(density * (plate / 4 + channel)));
  CHECK(f.mass_right == Approx(density * plate * 3 / 4));
  CHECK(f.mass_top == Approx(f.mass_bottom));
  CHECK(f.mass_top + f.mass_bottom == Approx(f.mass));
}

TEST_CASE("sides are weighed with the density of each place", "[solver][balance]") {
  Model m = plate_and_channel();
  NodeField<double> places(m.n_nodes(), density);
  const SideWeights even = side_weights(m, places);
  CHECK(even.all == Approx(frame_figures(m, density).mass));
  CHECK(even.left == Approx(frame_figures(m, density).mass_left));
  // Twice as dense where the channel begins, which lies left of the injection point as a whole.
  const LineElement& channel = m.lines[LineId{0}];
  places[channel.from] = 2000.0;
  const SideWeights heavy = side_weights(m, places);
  const double more = 0.5 * volume(channel) * density;
  CHECK(heavy.left - even.left == Approx(more));
  CHECK(heavy.right == Approx(even.right));
  CHECK(heavy.top - even.top == Approx(0.5 * more));
}

TEST_CASE("a gate's mouth is counted in sides of triangles", "[solver][balance]") {
  const FrameFigures f = frame_figures(plate_and_channel(), density);
  REQUIRE(f.channels.size() == 1);
  CHECK(f.channels[0].feeds == "plate");
  CHECK(f.channels[0].length == Approx(0.01));
  CHECK(f.channels[0].elements_across == 1);
}

TEST_CASE("notes name an unbalanced frame and a gate nearly as deep as its wall",
          "[solver][limit]") {
  Setup setup;
  setup.model = plate_and_channel();
  setup.process.speed = {{0.0, 1e-6}};
  std::vector<std::string> rules;
  for (const FrameNote& n : frame_notes(setup, frame_figures(setup.model, density)))
    rules.push_back(n.rule);
  // 0.2 cm3 left, 0.6 cm3 right; a 4 mm gate on a 2 mm wall; 0.9 cm3 of a screw that displaces 78
  // cm3.
  CHECK(rules ==
        std::vector<std::string>{"weight_left_right", "shot_share_of_stroke", "gate_depth"});
}

TEST_CASE("notes name a screw that is asked for more than it gives", "[solver][limit]") {
  Setup setup;
  setup.model = plate_and_channel();
  const double fastest = 3.14159265 / 4 * setup.press.screw_diameter * setup.press.screw_diameter *
                         setup.press.speed_max;
  const auto has = [&](double wanted) {
    setup.process.speed = {{0.0, wanted}};
    for (const FrameNote& n : frame_notes(setup, frame_figures(setup.model, density)))
      if (n.rule == "screw_speed") return true;
    return false;
  };
  CHECK_FALSE(has(0.99 * fastest));
  CHECK(has(1.01 * fastest));
}

}  // namespace firstshot
