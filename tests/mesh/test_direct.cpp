#include <cmath>

#include <catch2/catch.hpp>

#include "mesh/direct.hpp"
#include "mesh/plane.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

std::vector<const LineElement*> lines_of(const Model& model, const std::string& channel) {
  std::vector<const LineElement*> lines;
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[line.channel].name == channel) lines.push_back(&line);
  }
  return lines;
}

}  // namespace

TEST_CASE("flow length through channels is their length", "[mesh][analytic]") {
  const Model model = build_model(frame_of_one(), {});
  const auto way = flow_length(model);
  // 35 mm of sprue, 40 mm of runner, 2 mm of gate.
  const NodeId mouth = lines_of(model, "g").back()->to;
  CHECK(way[mouth] == Approx(77 * mm));
  double farthest = 0.0;
  for (const double length : way.span()) farthest = std::max(farthest, length);
  // To the far corner of the plate, along edges: never shorter than straight.
  CHECK(farthest >= 77 * mm + std::hypot(30.0, 9.5) * mm);
  CHECK(farthest <= 77 * mm + 1.15 * std::hypot(30.0, 10.0) * mm);
}

TEST_CASE("every element leads away from the injection, however the runner was drawn", "[mesh]") {
  Layout layout = frame_of_one();
  std::swap(layout.runners[0].points[0], layout.runners[0].points[1]);
  layout.runners[0].start = RoundSection{3 * mm};
  layout.runners[0].end = RoundSection{4 * mm};
  const Model model = build_model(layout, {});
  const auto way = flow_length(model);
  for (const LineElement& line : model.lines.span()) CHECK(way[line.from] < way[line.to]);
  // Drawn from the far end: the 4 mm end is at the sprue.
  for (const LineElement* line : lines_of(model, "main")) {
    CHECK(area(line->start) > area(line->end));
  }
}

TEST_CASE("melt that enters a smaller section has an entrance there and nowhere else", "[mesh]") {
  const Model model = build_model(frame_of_one(), {});
  const auto main = lines_of(model, "main");
  const auto gates = lines_of(model, "g");
  // 5 mm sprue foot into a 4 mm runner: 2A/P is the radius.
  CHECK(main.front()->entrance_radius == Approx(2 * mm));
  for (std::size_t i = 1; i < main.size(); ++i) CHECK(main[i]->entrance_radius == 0.0);
  // 1 mm × 0.6 mm: 2 · 0.6 / 3.2.
  CHECK(gates.front()->entrance_radius == Approx(0.375 * mm));
  for (std::size_t i = 1; i < gates.size(); ++i) CHECK(gates[i]->entrance_radius == 0.0);
  for (const LineElement* line : lines_of(model, "sprue")) CHECK(line->entrance_radius == 0.0);
}

TEST_CASE("a smooth taper and a fork of equal sections have no entrance", "[mesh]") {
  Layout layout = frame_of_one();
  layout.sprue->foot_diameter = 4 * mm;
  layout.runners[0].end = RoundSection{2 * mm};
  layout.runners.push_back(round_runner("fork", {{0, 0}, {0, 20 * mm}}, 4 * mm));
  const Model model = build_model(layout, {});
  for (const char* name : {"main", "fork"}) {
    for (const LineElement* line : lines_of(model, name)) CHECK(line->entrance_radius == 0.0);
  }
}

TEST_CASE("an entrance needs a section more than 2 % smaller in area", "[mesh][limit]") {
  for (const double second : {3.98, 3.9}) {
    Layout layout = frame_of_one();
    layout.runners[0].points[1] = {20 * mm, 0};
    layout.runners.push_back(round_runner("second", {{20 * mm, 0}, {40 * mm, 0}}, second * mm));
    const Model model = build_model(layout, {});
    const double expected = second == 3.9 ? second / 2 * mm : 0.0;
    CHECK(lines_of(model, "second").front()->entrance_radius == Approx(expected));
  }
}

TEST_CASE("a gate from the rim of one area into another has an entrance", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas.push_back(rectangle("second", {32 * mm, 0}, {50 * mm, 20 * mm}, 1 * mm));
  layout.gates = {gate("bridge", {30 * mm, 10 * mm}, {32 * mm, 10 * mm}, 2 * mm, 0.5 * mm)};
  const Model model = build_model(layout, {});
  const auto lines = lines_of(model, "bridge");
  CHECK(lines.front()->entrance_radius == Approx(2 * 1.0 / 5.0 * mm));
  CHECK(model.channels[0].feeds == 1);
}
