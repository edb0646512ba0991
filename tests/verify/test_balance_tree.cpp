// Flow through the tree of resistances that balancing goes by, against closed forms.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "solver/whole/channel_sizes.hpp"
#include "solver/whole/tree_flow.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3, pi = std::numbers::pi;

Material power_law(double n) {
  Material m;
  m.viscosity = PowerLaw{1.2e4, n, 0.0, 493.15};
  return m;
}

/// Loss of a power-law melt in a pipe, textbook [BirdStewartLightfoot]:
/// Δp = (2 K L/R) ((3n + 1) Q/(n π R³))^n.
double pipe(double n, double diameter, double length, double flow) {
  const double R = 0.5 * diameter;
  return 2.0 * 1.2e4 * length / R * std::pow((3.0 * n + 1.0) * flow / (n * pi * R * R * R), n);
}

}  // namespace

TEST_CASE("a channel of the balancing tree takes what a pipe takes",
          "[verify][balance][analytic]") {
  SectionFlowTable table;
  for (const double n : {1.0, 0.5, 0.25}) {
    const ChannelLoss loss =
        channel_loss(power_law(n), 493.15, RoundSection{4 * mm}, 0.05, 1e-5, table);
    CHECK(loss.index == Approx(n).epsilon(1e-9));
    CHECK(loss.pressure == Approx(pipe(n, 4 * mm, 0.05, 1e-5)).epsilon(1e-9));
  }
}

TEST_CASE("two branches of a power-law melt share it as the closed form says",
          "[verify][balance][analytic]") {
  // Equal pressure over both: Q1/Q2 = (D1/D2)^((3n+1)/n) (L2/L1)^(1/n).
  for (const double n : {1.0, 0.5, 0.25}) {
    SectionFlowTable table;
    const double D[3] = {5 * mm, 3 * mm, 3.6 * mm}, L[3] = {0.03, 0.04, 0.06};
    constexpr double guess = 5e-6;
    ResistanceTree<double> tree;
    tree.parent = {-1, 0, 0};
    for (int k = 0; k < 3; ++k)
      tree.resistance.push_back(
          channel_loss(power_law(n), 493.15, RoundSection{D[k]}, L[k], guess, table).pressure /
          std::pow(guess, n));
    const TreeFlow<double> flow = tree_flow(tree, n);
    constexpr double total = 2e-5;
    const double exact =
        std::pow(D[1] / D[2], (3.0 * n + 1.0) / n) * std::pow(L[2] / L[1], 1.0 / n);
    CHECK(flow.share[1] / flow.share[2] == Approx(exact).epsilon(1e-8));
    CHECK(flow.share[1] + flow.share[2] == Approx(1.0).epsilon(1e-12));
    const double p = pipe(n, D[0], L[0], total) + pipe(n, D[1], L[1], flow.share[1] * total);
    CHECK(std::pow(total / flow.conductance, n) == Approx(p).epsilon(1e-8));
  }
}

TEST_CASE("branches in a row and side by side add up, closed ends carry nothing",
          "[verify][balance]") {
  constexpr double closed = 1e300;
  // Ohmic: 1 + 2 + 4/2; behind branch 5 all is closed.
  const ResistanceTree<double> tree{{-1, 0, 1, 1, 0, 0, 5},
                                    {1.0, 2.0, 4.0, 4.0, closed, 1.0, closed}};
  const TreeFlow<double> flow = tree_flow(tree, 1.0);
  CHECK(3.0 / flow.conductance == Approx(15.0));
  CHECK(flow.share[2] == Approx(0.5));
  for (const std::size_t k : {4, 5, 6}) CHECK(flow.share[k] == Approx(0.0).margin(1e-12));
}

TEST_CASE("the slopes of flows in a tree are those of differences", "[verify][balance]") {
  const std::vector<int> parent = {-1, 0, 1, 1, 0};
  const std::vector<double> R = {1.0, 2.0, 4.0, 5.0, 3.0};
  constexpr double n = 0.3, step = 1e-5;
  const auto at = [&](double change) {
    ResistanceTree<double> tree{parent, R};
    tree.resistance[2] += change;
    return tree_flow(tree, n);
  };
  ResistanceTree<Dual> tree{parent, {}};
  for (std::size_t k = 0; k < R.size(); ++k) tree.resistance.push_back({R[k], k == 2 ? 1.0 : 0.0});
  const TreeFlow<Dual> flow = tree_flow(tree, n);
  const TreeFlow<double> more = at(step), less = at(-step);
  // Central differences: error of order step², rounding over step.
  const double tolerance = 1e-7;
  CHECK(flow.conductance.slope ==
        Approx((more.conductance - less.conductance) / (2.0 * step)).epsilon(tolerance));
  for (std::size_t k = 1; k < R.size(); ++k)
    CHECK(flow.share[k].slope ==
          Approx((more.share[k] - less.share[k]) / (2.0 * step)).epsilon(tolerance));
}
