// Each rule on holding on a result that breaks it and on one that does not.
#include <algorithm>

#include <catch2/catch.hpp>

#include "solver/whole/hold_rules.hpp"

namespace firstshot {
namespace {

/// A held shot that no rule objects to.
struct Held {
  Setup setup;
  Result result;
  Held() {
    setup.process.holding = {{40e6, 2.0}};
    result.outcome = Outcome::filled;
    result.state.switch_over_time = 0.5;
    result.state.hold.mode = HoldMode::done;
    HoldResult& h = result.hold;
    h.held = true;
    h.release = 2.5;
    h.holding_time = 2.0;
    h.gate_freeze = 2.3;
    h.parts = {{"a", 1e-3, 0.03, 0.004, 30e6, 2.0, 3.0}, {"b", 1e-3, 0.03, 0.005, 20e6, 2.0, 3.0}};
    result.gates = {{"g-a", "a", 1e-3, 6e-4, 1e-3, 1e6, 3e4, 1.9},
                    {"g-b", "b", 1e-3, 6e-4, 1e-3, 1e6, 3e4, 2.3}};
  }
  std::vector<Finding> findings() const {
    std::vector<Finding> found;
    judge_hold(setup, result, found);
    return found;
  }
};

const Finding* find(const std::vector<Finding>& all, const std::string& rule) {
  const auto f = std::find_if(all.begin(), all.end(),
                              [&](const Finding& finding) { return finding.rule == rule; });
  return f == all.end() ? nullptr : &*f;
}

}  // namespace

TEST_CASE("a well held shot has no finding", "[solver][verdict]") {
  CHECK(Held().findings().empty());
}

TEST_CASE("holding that ends before the last gate is solid is found", "[solver][verdict]") {
  Held held;
  held.result.hold.release = 2.2;
  held.result.hold.holding_time = 1.7;
  const auto all = held.findings();
  const Finding* f = find(all, "holding_too_short");
  REQUIRE(f != nullptr);
  CHECK(f->part == "b");
  CHECK(*f->value == Approx(1.7));
  CHECK(*f->limit == Approx(1.8));
  CHECK(f->margin.value() < 0.0);
  CHECK(f->severity == Severity::look);
  held.result.gates[0].freeze = -1.0;  // never solid: no time would do
  const auto never = held.findings();
  CHECK(find(never, "holding_too_short")->part == "a");
  CHECK_THAT(find(never, "holding_too_short")->text, Catch::Contains("does not freeze"));
  held.setup.process.holding.clear();  // the press then waits for the gates
  CHECK(held.findings().empty());
}

TEST_CASE("a gate of a solid counts as any other", "[solver][verdict]") {
  Held held;
  held.result.gates.clear();
  held.result.hold.area_gates = {{"gate-1", 2.0}, {"gate-2", 2.6}};
  const auto all = held.findings();
  const Finding* f = find(all, "holding_too_short");
  REQUIRE(f != nullptr);
  CHECK_THAT(f->text, Catch::Contains("gate-2"));
}

TEST_CASE("holding long after the gates are solid is noted", "[solver][verdict]") {
  Held held;
  held.result.hold.release = 4.0;
  held.result.hold.holding_time = 3.5;
  const auto all = held.findings();
  const Finding* f = find(all, "holding_too_long");
  REQUIRE(f != nullptr);
  CHECK(f->severity == Severity::note);
  CHECK(*f->limit < 3.5);
}

TEST_CASE("a way that never freezes is found", "[solver][verdict]") {
  Held held;
  held.setup.process.holding.clear();
  held.result.state.hold.gave_up = 1.0;
  held.result.hold.holding_time = 240.0;
  CHECK(find(held.findings(), "never_frozen") != nullptr);
}

TEST_CASE("parts that do not shrink may stick, and unlike parts do not fit", "[solver][verdict]") {
  Held held;
  held.result.hold.parts[0].linear = -0.0005;
  auto all = held.findings();
  const Finding* f = find(all, "overpacked");
  REQUIRE(f != nullptr);
  CHECK(f->part == "a");
  CHECK(find(all, "uneven_shrinkage") != nullptr);
  held.result.hold.parts[0].linear = 0.0025;
  CHECK(held.findings().empty());
}

TEST_CASE("what was not held to the end is not judged", "[solver][verdict]") {
  Held held;
  held.result.hold.parts[0].linear = -0.01;
  held.result.state.hold.mode = HoldMode::released;
  CHECK(held.findings().empty());
  held.result.state.hold.mode = HoldMode::done;
  held.result.hold.held = false;
  CHECK(held.findings().empty());
}

}  // namespace firstshot
