// Flow through gaps, ducts and runner trees against closed forms, handbook tables and published
// laws.
#include <array>
#include <cmath>
#include <fstream>
#include <iostream>
#include <numbers>
#include <sstream>
#include <string>

#include <catch2/catch.hpp>

#include "solver/flow/gap_flow.hpp"
#include "tests/verify/exact_solutions.hpp"
#include "tests/verify/sample_models.hpp"
#include "tests/verify/steady_flow.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double cm3 = 1e-6;
/// General-purpose polystyrene of the checks; Flaman 1990, Zoetelief et al. 1996, from memory,
/// unconfirmed.
const CrossWlf gpps{0.252, 3.08e4, 4.76e10, 373.15, 0.0, 25.74, 61.06};
constexpr double melt = 493.15;

Setup steady_setup(Model model, const ViscosityLaw& law) {
  Setup s = sample::isothermal_fill(std::move(model), law, 1e-6, 10);
  s.process.melt_temperature = melt;
  return s;
}

/// Outlet nodes of a strip: those at x = length.
std::vector<std::size_t> far_end(const Model& model, double length) {
  std::vector<std::size_t> nodes;
  for (std::size_t i = 0; i < model.n_nodes(); ++i)
    if (model.position.vector()[i].x > length * (1.0 - 1e-9)) nodes.push_back(i);
  return nodes;
}

/// b + a/n of a section by an independent finite-element library: tests/verify/reference.
double reference_shape(const std::string& section, double n) {
  std::ifstream file(std::string(FIRSTSHOT_SOURCE_DIR) +
                     "/tests/verify/reference/duct_power_law.csv");
  for (std::string line; std::getline(file, line);) {
    std::istringstream cells(line);
    std::string name, index, shape;
    std::getline(cells, name, ',');
    std::getline(cells, index, ',');
    std::getline(cells, shape, ',');
    if (name == section && std::stod(index) == n) return std::stod(shape);
  }
  FAIL("no reference for " << section << " at n = " << n);
  return 0.0;
}

/// Pressure gradient over that of the reference: a straight duct drawn as triangles.
double duct_against_reference(double ratio, double depth, const std::string& section, double n) {
  const double w = ratio * depth, length = 20.0 * depth, Q = 2 * cm3, K = 1e4;
  const Model model = sample::strip(length, w, depth, 60, 8, false);
  const double area = w * depth, Dh = 2.0 * area / (w + depth);
  const double exact =
      4.0 / Dh * K * std::pow(8.0 * Q / area / Dh * reference_shape(section, n), n);
  const Setup setup = steady_setup(model, PowerLaw{K, n, 0.0, melt});
  return sample::steady_flow(setup, Q, far_end(model, length)).pressure[0] / length / exact;
}

}  // namespace

TEST_CASE("a Cross melt flows through slit and pipe as Rabinowitsch's integral says",
          "[verify][analytic]") {
  // Digits computed from 8V/D = 4/τ_w³ ∫ τ² γ̇ dτ and its slit twin [BirdStewartLightfoot].
  struct Row {
    double wall_stress, pipe, slit;
  };
  const std::array<Row, 6> rows = {{{1e3, 0.57534649, 0.57345018},
                                    {1e4, 8.0468240, 7.8861401},
                                    {3e4, 45.743910, 43.464668},
                                    {1e5, 1215.3703, 1084.3501},
                                    {2e5, 16374.524, 14387.463},
                                    {3e5, 80371.426, 70455.316}}};
  const ReducedCurve curve{ViscosityLaw{gpps}};
  const double inverse_eta = 1.0 / zero_shear_viscosity(ViscosityLaw{gpps}, melt, 0.0);
  const double H = 0.75 * mm, R = 2 * mm;
  for (int layers : {20, 10, 2})
    for (bool walls_differ : {false, true}) {
      const GapGrid grid(layers, walls_differ);
      const std::vector<double> inverse(static_cast<std::size_t>(grid.columns()), inverse_eta);
      for (const Row& row : rows) {
        INFO(layers << " layers, wall stress " << row.wall_stress);
        const double g_slit = row.wall_stress / H;
        double neutral = 0.0;
        const double q = slit_flow({curve, grid, inverse}, H, g_slit, neutral).fluidity * g_slit;
        CHECK(6.0 * q / (4.0 * H * H) == Approx(row.slit).epsilon(1e-4));
        const double g_pipe = 2.0 * row.wall_stress / R;
        const double Q = round_flow({curve, grid, inverse}, R, g_pipe).fluidity * g_pipe;
        CHECK(4.0 * Q / (std::numbers::pi * R * R * R) == Approx(row.pipe).epsilon(1e-4));
      }
    }
}

TEST_CASE("layers of different viscosity cost what their midpoints cost", "[verify][order]") {
  // A melt whose 1/η₀ varies linearly across the half gap: exact moments of z² (1 + z/H)/η for
  // Newtonian layers, h³/12 · (1 + 3/4).
  const ReducedCurve curve{ViscosityLaw{Newtonian{1.0, 0.0, melt}}};
  double last = 1.0;
  for (int layers : {5, 10, 20}) {
    const GapGrid grid(layers, false);
    std::vector<double> inverse;
    for (int l = 0; l < layers; ++l) inverse.push_back(1.0 + grid.column_centre(l));
    double neutral = 0.0;
    const double S = slit_flow({curve, grid, inverse}, 0.5, 1.0, neutral).fluidity;
    const double error = std::abs(S / ((1.0 + 0.75) / 12.0) - 1.0);
    std::cout << "linear fluidity over " << layers << " layers: error " << 100.0 * error << " %\n";
    CHECK(error < 0.3 * last);  // second order: a quarter per doubling
    last = error;
  }
  CHECK(last < 2e-3);
}

TEST_CASE("the neutral plane shifts towards the hotter wall", "[verify][analytic]") {
  // Two Newtonian layers of viscosity η and 2η, each half the gap [BirdStewartLightfoot] sect. 2.5:
  // zero stress at z/H = (η1 - η2)/(η1 + η2)/2 from the interface, into the thinner melt.
  const ReducedCurve curve{ViscosityLaw{Newtonian{1.0, 0.0, melt}}};
  const GapGrid grid(10, true);
  std::vector<double> inverse(20, 0.5);
  for (std::size_t c = 10; c < 20; ++c) inverse[c] = 1.0;
  double neutral = 0.0;
  for (int i = 0; i < 30; ++i) slit_flow({curve, grid, inverse}, 1.0, 1.0, neutral);
  CHECK(neutral == Approx(0.5 * (2.0 - 1.0) / (2.0 + 1.0)).epsilon(1e-9));
  // Flow per width H³ G/(12 η1)·(1 + 7·…): from integrating the two parabolas.
  GapProfile profile;
  slit_profile({curve, grid, inverse}, 1.0, 1.0, neutral, profile);
  double lower = 0.0;
  for (std::size_t c = 0; c < 10; ++c) lower += profile.flow[c];
  // v₁ in the thick half (η = 2), v₂ in the thin half (η = 1), τ = z - 1/6: integrals 13/72·… by
  // hand: ∫₋₁⁰ v = ∫₋₁⁰ (1/2)((1+z)/6 + (1-z²)/2) dz = 5/24, ∫₀¹ v = ∫₀¹ ((1-z²)/2 - (1-z)/6) dz =
  // 1/4.
  CHECK(lower == Approx((5.0 / 24.0) / (5.0 / 24.0 + 1.0 / 4.0)).epsilon(1e-9));
}

TEST_CASE("a runner tree splits the flow as the closed form", "[verify][analytic]") {
  // Q1/Q2 = (D1/D2)^((3n+1)/n) (L2/L1)^(1/n) for a power law; digits computed for the Cross melt.
  const Model model =
      sample::runner_tree({4 * mm, 3 * mm, 2.5 * mm}, {60 * mm, 40 * mm, 25 * mm}, 10);
  const double Q = 10 * cm3;
  SECTION("power law") {
    const auto flow =
        sample::steady_flow(steady_setup(model, PowerLaw{1.5e4, 0.3, 0.0, melt}), Q, {20, 30});
    CHECK(flow.outflow[0] == Approx(3.984385 * cm3).epsilon(5e-3));
    CHECK(flow.outflow[1] == Approx(6.015615 * cm3).epsilon(5e-3));
    CHECK(flow.pressure[10] == Approx(8.242539e6).epsilon(5e-3));
    CHECK(flow.pressure[0] == Approx(17.675765e6).epsilon(5e-3));
  }
  SECTION("Cross") {
    const auto flow = sample::steady_flow(steady_setup(model, gpps), Q, {20, 30});
    CHECK(flow.outflow[0] == Approx(3.75224 * cm3).epsilon(5e-3));
    CHECK(flow.outflow[1] == Approx(6.24776 * cm3).epsilon(5e-3));
    CHECK(flow.pressure[10] == Approx(5.56803e6).epsilon(5e-3));
    CHECK(flow.pressure[0] == Approx(12.04075e6).epsilon(5e-3));
  }
}

TEST_CASE("an entrance costs its extra length", "[verify][balance]") {
  // Bagley's end correction in radii of the smaller section [Bagley1957], default 3 (band 2 to 5).
  Model model = sample::channel(RoundSection{2 * mm}, 20 * mm, 10);
  model.lines[LineId{0}].entrance_radius = 1 * mm;
  Setup setup = steady_setup(model, Newtonian{100.0, 0.0, melt});
  const double without = sample::steady_flow(setup, cm3, {10}).pressure[0];
  setup.process.entrance_length = 3.0;
  const double with = sample::steady_flow(setup, cm3, {10}).pressure[0];
  CHECK(with / without == Approx(23.0 / 20.0).epsilon(1e-9));
}

TEST_CASE("rectangular ducts drawn as triangles drop the handbook's pressure",
          "[verify][analytic]") {
  // Newtonian: F of Q = G w h³ F/(12 μ) from the exact series [ShahLondon1978]. Shear thinning: b +
  // a/n of the section from an independent finite-element computation; n = 0.5 for square also 5.72
  // in the literature.
  struct Duct {
    double ratio, F;         // width/depth
    double half, quarter;    // b + a/n at n = 0.5 and 0.25
    double limit, thinning;  // allowed relative error
  };
  const std::array<Duct, 6> ducts = {{{1.0, 0.421731, 1.02295, 1.22786, 0.05, 0.05},
                                      {2.0, 0.686045, 1.12449, 1.37178, 0.05, 0.05},
                                      {4.0, 0.842439, 1.36198, 1.73556, 0.05, 0.05},
                                      {10.0, 0.936975, 1.66881, 2.28363, 0.05, 0.05},
                                      {0.5, 0.686045 / 4.0, 1.12449, 1.37178, 0.10, 0.10},
                                      {0.25, 0.842439 / 16.0, 1.36198, 1.73556, 0.10, 0.10}}};
  const double h = 2 * mm, length = 40 * mm, Q = 2 * cm3;
  for (const Duct& d : ducts) {
    const double w = d.ratio * h;
    const Model model = sample::strip(length, w, h, 60, 8, false);
    const auto outlets = far_end(model, length);
    const auto gradient = [&](const ViscosityLaw& law) {
      return sample::steady_flow(steady_setup(model, law), Q, outlets).pressure[0] / length;
    };
    const double mu = 100.0;
    const double newton = gradient(Newtonian{mu, 0.0, melt}) * w * h * h * h * d.F / (12 * mu * Q);
    const double K = 1e4, area = w * h, Dh = 4.0 * area / (2.0 * (w + h)), V = Q / area;
    std::cout << "duct " << d.ratio << ":1 as triangles: Newtonian " << 100 * (newton - 1) << " %";
    CHECK(newton == Approx(1.0).epsilon(d.limit));
    for (double n : {0.5, 0.25}) {
      const double shape = n == 0.5 ? d.half : d.quarter;
      const double exact = 4.0 / Dh * K * std::pow(8.0 * V / Dh * shape, n);
      const double found = gradient(PowerLaw{K, n, 0.0, melt}) / exact;
      std::cout << ", n = " << n << ": " << 100 * (found - 1) << " %";
      CHECK(found == Approx(1.0).epsilon(d.thinning));
    }
    std::cout << "\n";
  }
}

TEST_CASE("ducts drawn as triangles agree with an independent finite-element library",
          "[verify][analytic]") {
  // Indices that stand in no table: the side-wall correction was fitted to none of them.
  struct Duct {
    double ratio;  // width/depth
    const char* section;
    double limit;  // allowed relative error
  };
  const std::array<Duct, 5> ducts = {{{1.0, "square", 0.05},
                                      {2.0, "oblong_2_to_1", 0.05},
                                      {4.0, "oblong_4_to_1", 0.05},
                                      {10.0, "oblong_10_to_1", 0.05},
                                      {0.5, "oblong_2_to_1", 0.10}}};
  for (const Duct& d : ducts)
    for (double n : {0.6, 0.3}) {
      const double found = duct_against_reference(d.ratio, 2 * mm, d.section, n);
      std::cout << "duct " << d.ratio << ":1 as triangles, n = " << n << ": " << 100 * (found - 1)
                << " %\n";
      INFO("duct " << d.ratio << ":1, n = " << n);
      CHECK(found == Approx(1.0).epsilon(d.limit));
    }
}

TEST_CASE("channels given as lines drop the handbook's pressure", "[verify][analytic]") {
  // b + a/n at n = 0.5 and 0.25 and f Re/16 from the same sources as above.
  struct Channel {
    Section section;
    double fre, half, quarter;
  };
  const double draft = 10.0;
  const std::array<Channel, 4> channels = {
      {{RoundSection{4 * mm}, 16.0, 1.25, 1.75},
       {HalfRoundSection{5 * mm}, 15.7668, 1.15989, 1.46154},
       {TrapezoidSection{5 * mm, 4 * mm, draft}, 14.1890, 1.01615, 1.21068},
       {RectangleSection{4 * mm, 2 * mm}, 15.54806, 1.12449, 1.37178}}};
  const double length = 40 * mm, Q = 5 * cm3;
  for (const Channel& c : channels) {
    const Model model = sample::channel(c.section, length, 8);
    const double A = area(c.section), Dh = hydraulic_diameter(c.section), V = Q / A;
    INFO(kind_name(c.section));
    const auto drop = [&](const ViscosityLaw& law) {
      return sample::steady_flow(steady_setup(model, law), Q, {8}).pressure[0];
    };
    const double mu = 100.0;
    CHECK(drop(Newtonian{mu, 0.0, melt}) ==
          Approx(2.0 * c.fre * mu * V / (Dh * Dh) * length).epsilon(5e-3));
    for (double n : {0.5, 0.25}) {
      const double shape = n == 0.5 ? c.half : c.quarter;
      const double exact = 4.0 / Dh * 1e4 * std::pow(8.0 * V / Dh * shape, n) * length;
      CHECK(drop(PowerLaw{1e4, n, 0.0, melt}) == Approx(exact).epsilon(5e-3));
    }
  }
}
