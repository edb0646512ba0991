// The harbour tug through all routes: the layout and the solids that other programs drew of it.
#include <algorithm>
#include <cmath>
#include <filesystem>

#include <catch2/catch.hpp>

#include "io/build_setup.hpp"
#include "io/found_gates.hpp"
#include "solver/assess/frame_figures.hpp"
#include "solver/whole/run_case.hpp"

using namespace firstshot;

namespace {

const std::filesystem::path cases = std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases";

BuiltSetup built(const std::string& file) {
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  Case c = read_case(cases / "harbour-tug" / file);
  set_accuracy_level(c, "preview");
  return build_setup(c, cards);
}

/// The one nearest to a place in the plane.
template <class T, class Place>
const T& nearest(const std::vector<T>& list, const Point& at, Place&& place) {
  return *std::min_element(list.begin(), list.end(), [&](const T& a, const T& b) {
    return std::hypot(place(a).x - at.x, place(a).y - at.y) <
           std::hypot(place(b).x - at.x, place(b).y - at.y);
  });
}

}  // namespace

// Volumes: the solids hold each gate's end as part of the part or not, a few mm³; STL turns arcs
// into sides. Gates: measured on a grid of a fraction of their width.
TEST_CASE("the tug has the same parts and gates as layout, STL and STEP", "[case]") {
  const BuiltSetup layout = built("case.toml");
  const FrameFigures drawn = frame_figures(layout.setup.model, 1000.0);
  const std::vector<GateSize> gates = gate_sizes(layout);
  for (const char* route : {"from-stl.toml", "from-step.toml"}) {
    INFO(route);
    const BuiltSetup solid = built(route);
    const FrameFigures found = frame_figures(solid.setup.model, 1000.0);
    REQUIRE(found.parts.size() == drawn.parts.size());
    for (const PartFigures& part : drawn.parts) {
      const PartFigures& same =
          nearest(found.parts, part.centre, [](const PartFigures& p) { return p.centre; });
      INFO(part.name << " is " << same.name);
      CHECK(same.volume == Approx(part.volume).epsilon(0.005));
      CHECK(std::hypot(same.centre.x - part.centre.x, same.centre.y - part.centre.y) < 0.2e-3);
    }
    const std::vector<GateSize> measured = gate_sizes(solid);
    REQUIRE(measured.size() == gates.size());
    for (const GateSize& gate : gates) {
      const Point at{gate.at.x, gate.at.y};
      const GateSize& same = nearest(measured, at, [](const GateSize& g) {
        return Point{g.at.x, g.at.y};
      });
      INFO(gate.name << " is " << same.name);
      CHECK(same.width == Approx(gate.width).epsilon(0.02));
      CHECK(same.depth == Approx(gate.depth).epsilon(0.02));
      CHECK(same.length == Approx(gate.length).epsilon(0.15));
    }
    REQUIRE(solid.solid->sprue);
    CHECK(solid.solid->sprue->nozzle_diameter == Approx(3e-3).epsilon(0.02));
  }
}

TEST_CASE("the sculpted frame fills from its bare STL file", "[case][slow]") {
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  Case c = read_case(cases / "hedgerow" / "case.toml");
  set_accuracy_level(c, "preview");
  const BuiltSetup frame = build_setup(c, cards);
  CHECK(gate_sizes(frame).size() == 14);
  const Result result = run_case(frame.setup);
  CHECK(result.outcome == Outcome::filled);
  CHECK(result.parts.size() == 14);
  CHECK(result.mass_error < 1e-9);
  // Shells that reach into each other count once, so it is less than the
  // 3.80 cm³ that their sum encloses.
  CHECK(result.volume < 3.80e-6);
  CHECK(result.volume > 3.55e-6);
}
