// Where fronts meet: against hyperbolas, a closed form for two unequal gates, and symmetry.
#include <cmath>
#include <functional>

#include <catch2/catch.hpp>

#include "solver/assess/weld_lines.hpp"
#include "solver/stage/fill.hpp"
#include "tests/verify/sample_models.hpp"

namespace firstshot {
namespace {

constexpr double degree = 3.14159265358979323846 / 180.0;

/// A plate of nx × ny cells, one node per vertex; every vertex is shifted by up to `rough` of a
/// cell so that the mesh has no preferred directions.
Model plate(double length, double width, int nx, int ny, double rough) {
  Model m = sample::strip(length, width, 1e-3, nx, ny);
  m.position = NodeField<Point3>();
  std::uint32_t seed = 1;
  const auto random = [&] {
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) / double(1u << 24) - 0.5;
  };
  for (std::size_t v = 0; v < m.mesh.points.size(); ++v) {
    Point& p = m.mesh.points[make_id<VertexId>(v)];
    const bool inside = p.x > 0 && p.x < length && p.y > 0 && p.y < width;
    if (inside) p = {p.x + rough * random() * length / nx, p.y + rough * random() * width / ny};
    m.position.push_back({p.x, p.y, 0.0});
    m.node_of_vertex[make_id<VertexId>(v)] = make_id<NodeId>(v);
  }
  return m;
}

struct Arrived {
  FrontRecord front;
  NodeField<double> arrival;
};

/// What a fill would note when circles grow from `sources` at unit speed, each from its own time.
Arrived circles(const Model& m, const std::vector<Point>& sources,
                const std::vector<double>& start) {
  const std::size_t n = m.n_nodes();
  Arrived a{no_front(n), NodeField<double>(n, 1e30)};
  std::vector<std::size_t> of(n, 0);
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t s = 0; s < sources.size(); ++s) {
      const Point3& p = m.position.vector()[i];
      const double dx = p.x - sources[s].x, dy = p.y - sources[s].y, r = std::hypot(dx, dy);
      if (start[s] + r >= a.arrival.vector()[i]) continue;
      a.arrival.vector()[i] = start[s] + r;
      of[i] = s;
      a.front.way_x[i] = r > 0.0 ? dx / r : 0.0;
      a.front.way_y[i] = r > 0.0 ? dy / r : 0.0;
    }
  std::vector<double> steepest(n, 0.0);
  for (const MeshEdge& e : mesh_edges(m.mesh))
    for (const auto& [to, from] : {std::pair{index(e.a), index(e.b)}, {index(e.b), index(e.a)}}) {
      const Point3 &p = m.position.vector()[to], &q = m.position.vector()[from];
      const double slope =
          (a.arrival.vector()[to] - a.arrival.vector()[from]) / std::hypot(p.x - q.x, p.y - q.y);
      if (of[to] != of[from] || slope <= steepest[to]) continue;
      steepest[to] = slope;
      a.front.origin[to] = static_cast<double>(from);
    }
  for (std::size_t i = 0; i < n; ++i) {
    a.front.temperature[i] = 480.0 + 20.0 * m.position.vector()[i].y / 0.03;
    a.front.pressure[i] = 1e5;
  }
  return a;
}

/// A strip between two mouths, each at the end of a round leg from one injection point.
Model two_ended(double length, double width, int nx, int ny, double d_left, double d_right) {
  Model m = sample::strip(length, width, 1e-3, nx, ny);
  m.position = NodeField<Point3>();
  m.position.push_back({0.5 * length, -0.02, 0.0});  // injection
  m.position.push_back({0.0, 0.5 * width, 0.0});     // left mouth
  m.position.push_back({length, 0.5 * width, 0.0});  // right mouth
  for (std::size_t v = 0; v < m.mesh.points.size(); ++v) {
    const auto id = make_id<VertexId>(v);
    const Point p = m.mesh.points[id];
    const bool left = p.x <= 0.0, right = p.x >= length * (1.0 - 1e-12);
    m.node_of_vertex[id] = left    ? NodeId{1}
                           : right ? NodeId{2}
                                   : make_id<NodeId>(m.position.size());
    if (!left && !right) m.position.push_back({p.x, p.y, 0.0});
  }
  m.injection = NodeId{0};
  const auto leg = [&](const char* name, NodeId to, double d) {
    m.lines.push_back({NodeId{0}, to, 10e-3, RoundSection{d}, RoundSection{d},
                       static_cast<std::int32_t>(m.channels.size()), 0.0});
    m.channels.push_back({name, Role::gate, 0});
  };
  leg("left", NodeId{1}, d_left);
  leg("right", NodeId{2}, d_right);
  return m;
}

std::vector<WeldLine> filled(Model model, int steps) {
  Setup s = sample::isothermal_fill(std::move(model), Newtonian{100.0}, 1e-6, steps);
  Fill fill(s);
  State state = fill.start();
  while (!fill.done(state)) fill.step(state);
  REQUIRE(state.outcome == Outcome::filled);
  return weld_lines(s.model, state.front, state.arrival);
}

/// ∫ resistance dV until a front stands at x in the strip behind a round leg, per viscosity:
/// both sides feel the same pressure at the same time, so fronts meet where these are equal.
double effort(double d, double leg, double x, double width, double h) {
  const double pi = 3.14159265358979323846;
  const double area = pi * d * d / 4, r_leg = 128.0 / (pi * d * d * d * d),
               r = 12 / (width * h * h * h);
  return r_leg * leg * leg / 2 * area + (r_leg * leg * x + r * x * x / 2) * width * h;
}

}  // namespace

TEST_CASE("two growing circles weld along their hyperbola at the angle between their radii",
          "[solver][weld][analytic]") {
  const double late = GENERATE(0.0, 8e-3);
  const double rough = GENERATE(0.0, 0.5);
  const Model m = plate(60e-3, 30e-3, 80, 40, rough);
  const double cell = 0.75e-3;
  const Point a{15e-3, 0.0}, b{45e-3, 0.0};
  const Arrived arrived = circles(m, {a, b}, {0.0, late});
  const std::vector<WeldLine> lines = weld_lines(m, arrived.front, arrived.arrival);
  INFO("late " << late << ", rough " << rough);
  REQUIRE(lines.size() == 1);
  const WeldLine& line = lines[0];
  for (const MeetingPoint& p : line.points) {
    INFO(p.at.x << " " << p.at.y);
    const double ra = std::hypot(p.at.x - a.x, p.at.y - a.y);
    const double rb = std::hypot(p.at.x - b.x, p.at.y - b.y);
    CHECK(std::abs(ra - rb - late) < 2.0 * cell);  // |∇(ra - rb)| is up to 2
    const double turn = std::acos(((p.at.x - a.x) * (p.at.x - b.x) + p.at.y * p.at.y) / (ra * rb));
    CHECK(p.angle_deg == Approx(180.0 - turn / degree).margin(12.0));
    CHECK(p.time == Approx(ra).margin(2.0 * cell));
    CHECK(p.temperature == Approx(480.0 + 20.0 * p.at.y / 0.03).margin(1.0));
  }
  // From wall to wall: the directions still differ by more than 25° at the far wall.
  CHECK(line.length > 29e-3);
  CHECK(line.kind == MeetingKind::weld);
  CHECK(line.points.front().pressure == 1e5);
}

TEST_CASE("one growing circle and one straight stream weld nowhere", "[solver][weld]") {
  const Model m = plate(60e-3, 30e-3, 80, 40, GENERATE(0.0, 0.5));
  const Arrived one = circles(m, {{10e-3, 12e-3}}, {0.0});
  CHECK(weld_lines(m, one.front, one.arrival).empty());
  const Arrived far = circles(m, {{-10.0, -4.0}}, {0.0});
  CHECK(weld_lines(m, far.front, far.arrival).empty());
}

TEST_CASE("two sources so near each other that streams hardly turn only meld", "[solver][weld]") {
  const Model m = plate(60e-3, 30e-3, 80, 40, 0.3);
  // Seen from 20 mm on, sources 20 mm apart send streams that differ by less than 53°.
  const Arrived arrived = circles(m, {{20e-3, -25e-3}, {40e-3, -25e-3}}, {0.0, 0.0});
  const std::vector<WeldLine> lines = weld_lines(m, arrived.front, arrived.arrival);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].kind == MeetingKind::meld);
  CHECK(lines[0].angle_min_deg > weld_angle_deg);
}

TEST_CASE("two equal gates weld on the mirror line", "[solver][weld][symmetry]") {
  for (const int steps : {20, 120}) {
    const std::vector<WeldLine> lines = filled(two_ended(60e-3, 10e-3, 61, 10, 2e-3, 2e-3), steps);
    REQUIRE(lines.size() == 1);
    for (const MeetingPoint& p : lines[0].points) {
      CHECK(std::abs(p.at.x - 30e-3) <= 60e-3 / 61);
      CHECK(p.angle_deg < 15.0);
    }
    CHECK(lines[0].length == Approx(10e-3).epsilon(0.02));
  }
}

TEST_CASE("two unequal gates weld where the closed form says", "[solver][weld][analytic]") {
  const double length = 60e-3, width = 10e-3, h = 1e-3, dl = 2e-3, dr = 1.2e-3;
  double low = 0.0, high = length;
  for (int i = 0; i < 60; ++i) {
    const double x = 0.5 * (low + high);
    (effort(dl, 10e-3, x, width, h) < effort(dr, 10e-3, length - x, width, h) ? low : high) = x;
  }
  REQUIRE(low > 33e-3);  // the test means something
  const int cells = 60;
  const std::vector<WeldLine> lines = filled(two_ended(length, width, cells, 10, dl, dr), 60);
  REQUIRE(lines.size() == 1);
  for (const MeetingPoint& p : lines[0].points) CHECK(std::abs(p.at.x - low) <= length / cells);
}

TEST_CASE("a loop of runners welds in the runner", "[solver][weld]") {
  // A ring of 12 elements from the injection point and back to it.
  Model m;
  constexpr int n = 12;
  for (int k = 0; k < n; ++k)
    m.position.push_back(
        {0.02 * std::cos(30.0 * k * degree), 0.02 * std::sin(30.0 * k * degree), 0});
  m.channels.push_back({"ring", Role::runner, -1});
  for (int k = 0; k < n; ++k) {
    // The half towards negative y is thinner, so that the meeting lies in it.
    const Section s = RoundSection{k < n / 2 ? 4e-3 : 3e-3};
    m.lines.push_back({make_id<NodeId>(k), make_id<NodeId>((k + 1) % n), 0.0105, s, s, 0, 0.0});
  }
  m.injection = NodeId{0};
  const std::vector<WeldLine> lines = filled(m, 60);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].in_channel);
  CHECK(lines[0].part == "ring");
  CHECK(lines[0].points[0].at.y + lines[0].points[1].at.y < 0.0);
  CHECK(lines[0].length == Approx(3e-3));
}

}  // namespace firstshot
