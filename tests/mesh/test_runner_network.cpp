#include <cmath>
#include <map>
#include <numbers>

#include <catch2/catch.hpp>

#include "mesh/runner_network.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

Layout runners_only(std::vector<RunnerLine> runners) {
  Layout layout;
  layout.runners = std::move(runners);
  return layout;
}

/// Number of elements that meet at the point; 0 when no element ends there.
int elements_at(const Model& model, Point p) {
  int n = 0;
  for (const LineElement& line : model.lines.span()) {
    for (const NodeId node : {line.from, line.to}) {
      const Point3 at = model.position[node];
      if (std::hypot(at.x - p.x, at.y - p.y) < 1e-9 && at.z == 0.0) ++n;
    }
  }
  return n;
}

}  // namespace

TEST_CASE("runners join where one ends on another and where they cross", "[mesh]") {
  const Model model = build_model(
      runners_only({round_runner("main", {{-40 * mm, 0}, {40 * mm, 0}}, 4 * mm),
                    round_runner("tee", {{20 * mm, 0}, {20 * mm, 30 * mm}}, 3 * mm),
                    round_runner("cross", {{-13 * mm, -9 * mm}, {-13 * mm, 9 * mm}}, 3 * mm)}),
      {});
  CHECK(elements_at(model, {20 * mm, 0}) == 3);
  CHECK(elements_at(model, {-13 * mm, 0}) == 4);
  CHECK(elements_at(model, {0, 0}) == 2);
  CHECK(elements_at(model, {40 * mm, 0}) == 1);
}

TEST_CASE("runner ends within 0.05 mm are the same place", "[mesh][limit]") {
  const auto layout = [](double miss) {
    return runners_only({round_runner("a", {{0, 0}, {20 * mm, 0}}, 4 * mm),
                         round_runner("b", {{20 * mm, miss}, {20 * mm, 20 * mm}}, 4 * mm)});
  };
  CHECK(error_of(layout(0.04 * mm)).empty());
  CHECK_THAT(error_of(layout(0.06 * mm)), Catch::Contains("runner \"b\" is not reached"));
}

TEST_CASE("a leg has at least the wanted number of elements and none too long", "[mesh]") {
  MeshOptions options;
  options.line_element_size = 2 * mm;
  options.min_elements_per_line = 4;
  const Model lengthy =
      build_model(runners_only({round_runner("a", {{0, 0}, {41 * mm, 0}}, 4 * mm)}), options);
  CHECK(lengthy.lines.size() == 21);
  const Model brief =
      build_model(runners_only({round_runner("a", {{0, 0}, {5 * mm, 0}}, 4 * mm)}), options);
  CHECK(brief.lines.size() == 4);
  // A leg shorter than the runner is wide is not cut into slices.
  const Model stub =
      build_model(runners_only({round_runner("a", {{0, 0}, {1 * mm, 0}}, 4 * mm)}), options);
  CHECK(stub.lines.size() == 1);
}

TEST_CASE("the section tapers linearly over the whole runner, around corners", "[mesh]") {
  RunnerLine runner = round_runner("a", {{0, 0}, {30 * mm, 0}, {30 * mm, 10 * mm}}, 6 * mm);
  runner.end = RoundSection{2 * mm};
  const Model model = build_model(runners_only({runner}), {});
  for (const LineElement& line : model.lines.span()) {
    const Point3 at = model.position[line.to];
    const double way = at.x + at.y;
    CHECK(width(line.end) == Approx(6 * mm - way / (40 * mm) * 4 * mm));
  }
}

TEST_CASE("a sprue is a cone from the nozzle down to the frame", "[mesh][analytic]") {
  const Model model = build_model(frame_of_one(), {});
  const auto volumes = channel_volumes(model);
  std::map<std::string, double> by_name;
  for (std::size_t c = 0; c < volumes.size(); ++c) by_name[model.channels[c].name] = volumes[c];
  // Frustum of a cone: π L/12 (D² + D d + d²).
  CHECK(by_name["sprue"] == Approx(std::numbers::pi * 35 / 12 * (25 + 15 + 9) * 1e-9));
  CHECK(by_name["main"] == Approx(std::numbers::pi * 4 * 40 * 1e-9));
  CHECK(by_name["g"] == Approx(1.2e-9));
  CHECK(model.position[model.injection].z == Approx(35 * mm));
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[line.channel].role != Role::sprue) continue;
    CHECK(model.position[line.from].z > model.position[line.to].z);
  }
}

TEST_CASE("a gate has at least four elements and knows the part it feeds", "[mesh]") {
  const Model model = build_model(frame_of_one(), {});
  int in_gate = 0;
  double length = 0.0;
  for (const LineElement& line : model.lines.span()) {
    const Channel& channel = model.channels[line.channel];
    if (channel.role != Role::gate) continue;
    ++in_gate;
    length += line.length;
    CHECK(channel.feeds == 0);
    CHECK(line.start == Section{RectangleSection{1 * mm, 0.6 * mm}});
  }
  CHECK(in_gate == 4);
  CHECK(length == Approx(2 * mm));
}

TEST_CASE("gates may start from the foot of the sprue", "[mesh]") {
  Layout layout = frame_of_one();
  layout.runners.clear();
  layout.areas[0] = rectangle("plate", {4 * mm, -10 * mm}, {34 * mm, 10 * mm}, 1 * mm);
  layout.gates[0].from = {2.5 * mm, 0};
  layout.gates[0].to = {4 * mm, 0};
  const Model model = build_model(layout, {});
  CHECK(elements_at(model, {0, 0}) == 2);
}

TEST_CASE("a runner drawn twice is refused", "[mesh]") {
  CHECK_THAT(error_of(runners_only({round_runner("a", {{0, 0}, {40 * mm, 0}}, 4 * mm),
                                    round_runner("b", {{10 * mm, 0}, {30 * mm, 0}}, 4 * mm)})),
             Catch::Contains("runner \"b\" lies on runner \"a\""));
  CHECK_THAT(
      error_of(runners_only({round_runner("a", {{0, 0}, {40 * mm, 0}, {20 * mm, 0}}, 4 * mm)})),
      Catch::Contains("runner \"a\" lies on itself"));
}
