// The map of a process window where the good settings are known: a disc, a half plane, a cross.
#include <cmath>
#include <functional>
#include <numbers>

#include <catch2/catch.hpp>

#include "solver/whole/process_window.hpp"

namespace firstshot::test {
namespace {

using Judge = std::function<WindowShot(const Point&)>;

/// Good within a disc, over pressure outside; the pressure is the distance from its middle.
Judge disc(const Point& middle, double radius) {
  return [=](const Point& at) {
    WindowShot shot;
    shot.at = at;
    shot.pressure = std::hypot(at.x - middle.x, at.y - middle.y);
    shot.kind = shot.pressure > radius ? ShotClass::over_pressure : ShotClass::fills;
    if (!shot.good()) shot.limit = radius;
    return shot;
  };
}

struct Mapped {
  LatticeEdges edges;
  WindowMap map;
};
Mapped mapped(const Judge& judge, std::size_t columns, std::size_t rows, int halvings) {
  WindowLattice lattice{columns, rows, {}};
  for (const Point& at : lattice_points(columns, rows)) lattice.shots.push_back(judge(at));
  Mapped out{edges_of(lattice), {}};
  for (WindowEdge& edge : out.edges.edges)
    for (int i = 0; i < halvings; ++i) edge.narrow(judge(edge.middle()));
  out.map = window_map(lattice, out.edges);
  return out;
}

}  // namespace

TEST_CASE("edges of a disc are found far closer than the lattice is", "[window]") {
  const Point middle{0.47, 0.52};
  constexpr double radius = 0.31;
  const Mapped m = mapped(disc(middle, radius), 9, 9, 3);
  REQUIRE(m.edges.edges.size() > 10);
  for (const WindowEdge& edge : m.edges.edges) {
    const Point at = edge.at();
    // Linear within a bracket of 1/64: the error is bracket²/8 times the curvature, at most 1/r
    // here.
    CHECK(std::hypot(at.x - middle.x, at.y - middle.y) == Approx(radius).margin(2e-4));
    CHECK(edge.good.good());
    CHECK_FALSE(edge.bad.good());
  }
  // Chords of cells of 1/8 cut off c³/(12 r) each at most.
  CHECK(m.map.share == Approx(std::numbers::pi * radius * radius).epsilon(0.03));
  const auto best = roomiest_setting(m.map, {});
  REQUIRE(best);
  CHECK(std::hypot(best->at.x - middle.x, best->at.y - middle.y) < 0.02);
  CHECK(best->clearance == Approx(radius).margin(0.015));
}

TEST_CASE("without a load the edge lies in the middle of its last bracket", "[window]") {
  const auto frozen = [](const Point& at) {
    WindowShot shot;
    shot.at = at;
    shot.kind = at.x < 0.6 ? ShotClass::fills : ShotClass::too_cold;
    return shot;
  };
  const Mapped m = mapped(frozen, 3, 3, 4);
  REQUIRE(m.edges.edges.size() == 3);
  for (const WindowEdge& edge : m.edges.edges)
    CHECK(edge.at().x == Approx(0.6).margin(0.5 / 32 + 1e-12));  // bracket 0.5/16
  CHECK(m.map.share == Approx(0.6).margin(0.5 / 32 + 1e-12));
  for (const OutlineSegment& s : m.map.outline) CHECK(s.beyond == ShotClass::too_cold);
  CHECK(is_inside(m.map, {0.1, 0.9}));
  CHECK_FALSE(is_inside(m.map, {0.7, 0.9}));
}

TEST_CASE("good corners across a cell from each other stay apart", "[window]") {
  WindowLattice lattice{2, 2, {}};
  for (const Point& at : lattice_points(2, 2)) {
    WindowShot shot;
    shot.at = at;
    shot.kind = at.x == at.y ? ShotClass::fills : ShotClass::scorch;
    lattice.shots.push_back(shot);
  }
  const WindowMap map = window_map(lattice, edges_of(lattice));
  CHECK(map.areas.size() == 2);
  CHECK(map.share == Approx(0.25));
  CHECK_FALSE(is_inside(map, {0.5, 0.5}));
}

TEST_CASE("the best setting keeps away from ends of the range and from shots that turned out bad",
          "[window]") {
  const Mapped all = mapped(disc({0.5, 0.5}, 2.0), 3, 3, 0);
  CHECK(all.map.share == Approx(1.0));
  CHECK(all.map.outline.empty());
  const auto best = roomiest_setting(all.map, {});
  REQUIRE(best);
  CHECK(best->at == Point{0.5, 0.5});
  CHECK(best->clearance == Approx(0.5));
  WindowShot bad;
  bad.at = {0.5, 0.5};
  const auto other = roomiest_setting(all.map, std::vector{bad});
  REQUIRE(other);
  // As far from the middle as from two ends: d = √2 (0.5 - d).
  CHECK(other->clearance == Approx(0.5 * std::sqrt(2.0) / (1.0 + std::sqrt(2.0))).margin(0.005));
  CHECK_FALSE(roomiest_setting(mapped(disc({0.5, 0.5}, 0.0), 2, 2, 0).map, {}));
}

TEST_CASE("each class of a shot has a name of its own", "[window]") {
  for (const ShotClass a : shot_classes)
    for (const ShotClass b : shot_classes)
      CHECK((std::string(shot_class_name(a)) == shot_class_name(b)) == (a == b));
}

}  // namespace firstshot::test
