// Balancing a small frame: the search against trying everything, and the rules of the shop.
#include <algorithm>
#include <limits>

#include <catch2/catch.hpp>

#include "io/balance_layout.hpp"
#include "io/build_setup.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/two_plates.hpp"

namespace firstshot {
namespace {

/// Two plates of different size on one runner each; the small one is visible.
std::string two_plates(const std::string& more = "") {
  return test::two_plates_layout("visible = true\n") +
         R"([material]
card = "plain"
[process]
fill_time = "0.5 s"
[accuracy]
level = "preview"
element_size = "4 mm"
)" + more;
}

struct Frame {
  Case written = read_case_text(two_plates(), "case.toml", "");
  BuiltSetup built = build_setup(written, plain_cards());
  Result run =
      run_case(built.setup, [](const Snapshot& s) { return s.state.mode != FillMode::done; });
  BalanceRules rules;
  Frame() {
    rules.cutters = {3e-3, 1e-3, 0.5e-3};
    rules.step = 2e-4;
    rules.visible_gates = true;
  }
  std::vector<SizeFactors> as_it_is() const {
    return std::vector<SizeFactors>(built.setup.model.channels.size());
  }
  BalanceProposal propose(double target) {
    rules.target = target;
    const BalanceTree tree(built.setup, run);
    return propose_sizes(built.setup, tree, as_it_is(), size_choices(built.setup, run, rules),
                         rules);
  }
};

}  // namespace

TEST_CASE("the tree of a frame as it is gives the run's own times", "[io][balance]") {
  Frame f;
  const BalanceTree tree(f.built.setup, f.run);
  const BalanceFigures now = tree.figures(f.as_it_is());
  REQUIRE(now.full.size() == 2);
  for (std::size_t p = 0; p < 2; ++p) CHECK(now.full[p] == Approx(f.run.parts[p].full));
  CHECK(now.pressure == Approx(f.run.peak_pressure).epsilon(1e-6));
}

TEST_CASE("as few changes are proposed as trying everything needs", "[io][balance]") {
  Frame f;
  const BalanceTree tree(f.built.setup, f.run);
  const double spread = tree.figures(f.as_it_is()).spread;
  REQUIRE(spread > 0.05);
  // Every single change there is.
  f.rules.target = 1.0;
  const auto choices = size_choices(f.built.setup, f.run, f.rules);
  double least = std::numeric_limits<double>::infinity();
  int tried = 0;
  for (const SizeChoice& c : choices)
    for (const double size : c.allowed) {
      auto factors = f.as_it_is();
      const bool gate = f.built.setup.model.channels[c.channel].role == Role::gate;
      const double factor = size / c.present;
      if (!c.depth) factors[c.channel].width = factor;
      if (c.depth || !gate) factors[c.channel].depth = factor;
      least = std::min(least, tree.figures(factors).spread);
      ++tried;
    }
  CHECK(tried > 40);
  REQUIRE(least < 0.5 * spread);
  const BalanceProposal one = f.propose(1.01 * least);
  CHECK(one.changes.size() == 1);  // one suffices, so one is proposed
  CHECK(one.after.spread <= 1.01 * least);
  CHECK(one.changes[0].spread_before == Approx(spread));
  const BalanceProposal more = f.propose(0.3 * least);  // one cannot reach this
  CHECK(more.changes.size() > 1);
  CHECK(more.after.spread < least);
}

TEST_CASE("a proposal that a full run tries makes the frame better", "[io][balance]") {
  Frame f;
  const double before = f.run.parts[0].full - f.run.parts[1].full;
  const BalanceProposal p = f.propose(0.2 * before);
  REQUIRE_FALSE(p.changes.empty());
  const BuiltSetup better =
      build_setup(resized_case(f.written, f.built.setup.model, p.factors), plain_cards());
  const Result r = run_case(better.setup);
  REQUIRE(r.outcome == Outcome::filled);
  CHECK(std::abs(r.parts[0].full - r.parts[1].full) < 0.9 * before);
}

TEST_CASE("the shop's rules bind every size", "[io][balance]") {
  Frame f;
  for (const bool safe : {false, true}) {
    f.rules.metal_safe = safe;
    for (const SizeChoice& c : size_choices(f.built.setup, f.run, f.rules))
      for (const double size : c.allowed) {
        if (safe) CHECK(size > c.present);
        if (!c.depth) CHECK(size >= 0.5e-3);
        if (c.depth) CHECK(size <= 0.8 * 1.5e-3 + 1e-9);
        const double steps = size / f.rules.step;
        const bool cutter = std::any_of(f.rules.cutters.begin(), f.rules.cutters.end(),
                                        [&](double d) { return std::abs(d - size) < 1e-9; });
        CHECK((std::abs(steps - std::round(steps)) < 1e-6 || cutter));
      }
  }
  f.rules.visible_gates = false;
  const auto choices = size_choices(f.built.setup, f.run, f.rules);
  for (const SizeChoice& c : choices)
    if (f.built.setup.model.channels[c.channel].name == "g-small") CHECK(c.allowed.empty());
  CHECK_THAT(blocking_rules(f.built.setup, choices),
             Catch::Contains("g-small: it stands on a part with a visible face"));
}

TEST_CASE("a frame that stays short is refused with what to do", "[io][balance]") {
  Frame f;
  f.run.parts[0].full = -1.0;
  CHECK_THROWS_WITH(BalanceTree(f.built.setup, f.run),
                    Catch::Contains("part \"large\" stays short"));
}

TEST_CASE("a new vent lies where it was proposed, whatever the allowance", "[io][balance]") {
  Case c = read_case_text(two_plates(), "case.toml", "");
  c.shrinkage = 0.005;
  VentProposal v;
  v.at = {-41e-3 / (1.0 - 0.005), 0.0};
  v.width = 2e-3;
  v.depth = 20e-6;
  v.land = 1.5e-3;
  const BuiltSetup built = build_setup(vented_case(c, v), plain_cards());
  REQUIRE(built.setup.air.vents.size() == 1);
  CHECK(built.setup.air.vents[0].at[0].x == Approx(v.at.x));
}

}  // namespace firstshot
