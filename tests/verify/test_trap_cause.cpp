// What would move air that the front has closed around, on a plate whose ways are laid by hand.
#include <cmath>

#include <catch2/catch.hpp>

#include "solver/assess/trap_cause.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;

std::size_t nearest(const Model& m, double x, double y) {
  std::size_t best = 0;
  const auto far = [&](std::size_t i) {
    return std::hypot(m.position.vector()[i].x - x, m.position.vector()[i].y - y);
  };
  for (std::size_t i = 0; i < m.n_nodes(); ++i)
    if (far(i) < far(best)) best = i;
  return best;
}

/// A plate 40 x 20 mm on 1 mm cells with air in the middle of it. Melt came along the lower edge
/// from the left up to x = 35 mm, up there and back along y = 10 mm to the air: a way of 55 mm.
/// From the left it came straight: 19 mm. Both begin at x = 0, or where a gate is put.
struct Plate {
  Setup setup;
  State state;
  Plate() {
    setup.model = sample::strip(40 * mm, 20 * mm, mm, 40, 20);
    const Model& m = setup.model;
    const std::size_t n = m.n_nodes();
    state.fill = NodeField<double>(n, 1.0);
    state.arrival = NodeField<double>(n, 0.1);
    state.front = no_front(n);
    state.air.pocket = NodeField<double>(n, -1.0);
    for_each_column(state.air.pockets,
                    [](const char*, const char*, std::vector<double>& c) { c.assign(1, 0.0); });
    const std::size_t air = nearest(m, 20 * mm, 10 * mm);
    state.fill.vector()[air] = 0.5;
    state.air.pocket.vector()[air] = 0.0;
    state.air.pockets.node[0] = static_cast<double>(air);
    // Left of the air, above and below it: straight from the left.
    for (std::size_t i = 0; i < n; ++i) {
      const Point3& p = m.position.vector()[i];
      if (p.x > 0.5 * mm && p.x < 20.5 * mm) lay(p.x, p.y, p.x - mm, p.y);
    }
    for (int x = 21; x < 35; ++x)
      for (int y = 9; y <= 11; ++y) lay(x * mm, y * mm, (x + 1) * mm, y * mm);
    for (int y = 1; y <= 11; ++y) lay(35 * mm, y * mm, 35 * mm, (y - 1) * mm);
    for (int x = 21; x <= 35; ++x) lay(x * mm, 0, (x - 1) * mm, 0);
  }
  void lay(double x, double y, double from_x, double from_y) {
    const std::size_t to = nearest(setup.model, x, y);
    const std::size_t from = nearest(setup.model, from_x, from_y);
    if (to != from) state.front.origin[to] = static_cast<double>(from);
  }
  /// The melt enters there through a gate.
  void gate(const char* name, double x, double y) {
    const std::size_t at = nearest(setup.model, x, y);
    state.front.origin[at] = -1.0;
    LineElement e;
    e.from = e.to = make_id<NodeId>(at);
    e.channel = static_cast<std::int32_t>(setup.model.channels.size());
    setup.model.lines.push_back(e);
    setup.model.channels.push_back({name, Role::gate, 0});
  }
  /// Walls of the lowest rows and beyond x = 22 mm.
  void thick_rim(double wall) {
    Model& m = setup.model;
    for (std::size_t i = 0; i < m.mesh.triangles.size(); ++i) {
      const auto t = make_id<TriId>(i);
      Point middle;
      for (const VertexId v : m.mesh.triangles[t])
        middle = {middle.x + m.mesh.points[v].x / 3, middle.y + m.mesh.points[v].y / 3};
      if (middle.y < 3 * mm || middle.x > 23 * mm) m.thickness[t] = wall;
    }
  }
};

}  // namespace

TEST_CASE("a thick way around air in a thin wall is named with the wall that would even it out",
          "[verify][air]") {
  Plate plate;
  plate.thick_rim(2.4 * mm);
  const TrapCause cause = trap_cause(plate.setup, plate.state, 0, 10 * mm);
  CHECK(cause.wall == Approx(mm));
  CHECK(cause.around == Approx(2.4 * mm));
  // Ways are followed from node to node of the border, up to a cell beside the air.
  CHECK(cause.shortest == Approx(19 * mm).margin(1.1 * mm));
  CHECK(cause.longest == Approx(60 * mm).margin(2.1 * mm));
  REQUIRE(cause.wall_needed);
  const double share = (cause.shortest + 10 * mm) / (cause.longest - 10 * mm);
  CHECK(*cause.wall_needed == Approx(share * 2.4 * mm));
  CHECK_THAT(trap_words(cause),
             Catch::Contains("races through 2.40 mm around its wall of 1.00 mm") &&
                 Catch::Contains("mm there, or") && Catch::Contains("to the edge (estimate)"));
}

TEST_CASE("in an even wall the gates that close around the air are named", "[verify][air]") {
  Plate plate;
  const TrapCause alone = trap_cause(plate.setup, plate.state, 0, 10 * mm);
  CHECK(alone.gates.empty());
  CHECK_FALSE(alone.wall_needed);
  CHECK_THAT(trap_words(alone), Catch::Contains("move the injection"));
  plate.gate("west", 0, 10 * mm);
  CHECK_THAT(trap_words(trap_cause(plate.setup, plate.state, 0, 10 * mm)),
             Catch::Contains("move gate west"));
  plate.gate("east", 35 * mm, 0);
  const TrapCause both = trap_cause(plate.setup, plate.state, 0, 10 * mm);
  REQUIRE(both.gates == std::vector<std::string>{"west", "east"});
  CHECK_THAT(trap_words(both), Catch::Contains("from gates west and east") &&
                                   Catch::Contains("a smaller gate east, or none"));
}
