// The tree of resistances that balancing goes by, against closed forms.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "solver/whole/balance_tree.hpp"

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
    ResistanceTree tree;
    tree.parent = {-1, 0, 0};
    for (int k = 0; k < 3; ++k)
      tree.resistance.push_back(
          channel_loss(power_law(n), 493.15, RoundSection{D[k]}, L[k], guess, table).pressure /
          std::pow(guess, n));
    const TreeFlow flow = tree_flow(tree, n, 2e-5);
    const double exact =
        std::pow(D[1] / D[2], (3.0 * n + 1.0) / n) * std::pow(L[2] / L[1], 1.0 / n);
    CHECK(flow.flow[1] / flow.flow[2] == Approx(exact).epsilon(1e-8));
    CHECK(flow.flow[1] + flow.flow[2] == Approx(2e-5).epsilon(1e-12));
    const double p = pipe(n, D[0], L[0], 2e-5) + pipe(n, D[1], L[1], flow.flow[1]);
    CHECK(flow.pressure == Approx(p).epsilon(1e-8));
  }
}

TEST_CASE("branches in a row and side by side add up, dead ends carry nothing",
          "[verify][balance]") {
  const ResistanceTree tree{{-1, 0, 1, 1, 0}, {1.0, 2.0, 4.0, 4.0, 1e300}};
  const TreeFlow flow = tree_flow(tree, 1.0, 3.0);  // ohmic: 1 + 2 + 4/2
  CHECK(flow.pressure == Approx(15.0));
  CHECK(flow.flow[2] == Approx(1.5));
  CHECK(flow.flow[4] == Approx(0.0).margin(1e-12));
}
