// What a Result says of the balance of its frame.
#include <catch2/catch.hpp>

#include "solver/whole/frame_balance.hpp"

namespace firstshot {
namespace {

/// Three parts, the second full first, and a way to each.
struct Three {
  Model model;
  Result result;
  Three() {
    for (const char* name : {"a", "b", "c"}) {
      const auto region = static_cast<std::int32_t>(model.regions.size());
      model.regions.push_back({name, Role::part, false});
      FlowPath path;
      path.region = region;
      result.paths.push_back(path);
      PartResult part;
      part.name = name;
      part.mass = 1e-3 * (region + 1);
      part.full = region == 1 ? 0.4 : 0.5 + 0.1 * region;
      result.parts.push_back(part);
    }
    result.parts[1].order = 1;
  }
  const std::string& last() const {
    return model.regions[static_cast<std::size_t>(last_path(model, result)->region)].name;
  }
};

}  // namespace

TEST_CASE("the last way leads into the first short part, else into the part that is full last",
          "[solver][balance]") {
  Three frame;
  CHECK(frame.last() == "c");
  frame.result.parts[1].full = -1.0;
  CHECK(frame.last() == "b");
  frame.result.parts[2].full = -1.0;
  CHECK(frame.last() == "b");
  frame.result.paths.erase(frame.result.paths.begin() + 1);  // melt did not reach it
  CHECK(frame.last() == "c");
  frame.result.paths.clear();
  CHECK(last_path(frame.model, frame.result) == nullptr);
}

TEST_CASE("the jump is taken when the first of several parts is full", "[solver][balance]") {
  Three frame;
  // 10 Pa/s until 0.4 s, then 60 Pa/s.
  for (int i = 0; i <= 70; ++i) {
    HistoryEntry h;
    h.time = 0.01 * i;
    h.injection_pressure = 10.0 * h.time + (i > 40 ? 50.0 * (h.time - 0.4) : 0.0);
    frame.result.history.push_back(h);
  }
  CHECK(jump_at_first_full(frame.result).value() == Approx(50.0 * 0.05 * 0.4));
  frame.result.parts[1].order = 0;
  CHECK_FALSE(jump_at_first_full(frame.result));
  frame.result.parts = {frame.result.parts[0]};
  frame.result.parts[0].order = 1;
  CHECK_FALSE(jump_at_first_full(frame.result));
}

TEST_CASE("parts and sides are weighed alike: as held, or as melt", "[solver][balance]") {
  // A channel from x = -10 mm to the injection point, and one from there to x = 10 mm.
  Setup setup;
  setup.model.position =
      NodeField<Point3>(std::vector<Point3>{{-0.01, 0.0, 0.0}, {0.0, 0.0, 0.0}, {0.01, 0.0, 0.0}});
  setup.model.injection = NodeId{1};
  for (const NodeId end : {NodeId{0}, NodeId{2}}) {
    LineElement e;
    e.from = NodeId{1};
    e.to = end;
    e.length = 0.01;
    e.start = e.end = RoundSection{4e-3};
    setup.model.lines.push_back(e);
  }
  Three frame;
  FrameFigures figures;
  figures.mass = 3.0;
  figures.mass_left = 1.0;
  CHECK(part_mass(frame.result, frame.result.parts[1]) == 2e-3);
  CHECK(as_held(setup, frame.result, figures).mass_left == 1.0);
  frame.result.hold.held = true;
  PartShrinkage part;
  part.part = "b";
  part.mass = 2.1e-3;
  frame.result.hold.parts = {part};
  HoldState& hold = frame.result.state.hold;
  hold.mode = HoldMode::done;
  hold.mass = NodeField<double>(std::vector<double>{2e-3, 4e-3, 1e-3});
  CHECK(part_mass(frame.result, frame.result.parts[1]) == 2.1e-3);
  const FrameFigures held = as_held(setup, frame.result, figures);
  CHECK(held.mass == Approx(7e-3));
  CHECK(held.mass_left == Approx(4e-3));
  CHECK(held.mass_right == Approx(3e-3));
  CHECK(held.mass_top == Approx(3.5e-3));
}

}  // namespace firstshot
