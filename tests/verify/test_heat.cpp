// Heat through the gap and along the flow against closed forms.
#include <array>
#include <cmath>
#include <iostream>
#include <numbers>
#include <numeric>

#include <catch2/catch.hpp>

#include "solver/flow/mobility.hpp"
#include "solver/heat/inverse_viscosity.hpp"
#include "solver/heat/sweep.hpp"
#include "solver/stage/fill.hpp"
#include "tests/verify/exact_solutions.hpp"
#include "tests/verify/sample_models.hpp"
#include "tests/verify/steady_flow.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double perfect_contact = 1e12;  // [W/(m² K)]
constexpr double wall = 313.15, melt = 493.15;

Setup thermal_setup(Model model, const ViscosityLaw& law, int layers) {
  Setup s = sample::isothermal_fill(std::move(model), law, 1e-6, 50);
  s.isothermal = false;
  s.process.melt_temperature = melt;
  s.process.contact_conductance = perfect_contact;
  s.accuracy.layers = layers;
  s.material.density_melt = 970.0;
  s.material.conductivity = 0.155;
  s.material.heat_capacity = {{300.0}, {2100.0}};
  return s;
}

double diffusivity(const Material& m) {
  return m.conductivity / (m.density_melt * m.heat_capacity.at(400.0));
}

/// Steady temperatures of a full model with a given flow, by marching long steps.
struct SteadyHeat {
  std::vector<double> temperature;  // (n_nodes, n_columns)
  std::vector<double> pressure;
  std::vector<double> flow_share;  // (n_columns) at the last node
};

SteadyHeat steady_heat(const Setup& setup, double flow, std::vector<std::size_t> outlets,
                       int rounds, double dt) {
  const GapGrid grid(setup.accuracy.layers, false);
  const ReducedCurve curve(setup.material.viscosity);
  Mobility mobility(setup, grid, curve);
  const ControlVolumes& v = mobility.volumes();
  HeatSweep sweep(setup, v, grid, curve);
  State s = Fill(setup).start();
  const MobilityState state{s.gradient.span(), s.neutral.span(), s.fluidity.span(),
                            s.line_gradient.span(), s.line_fluidity.span()};
  const std::vector<double> full(v.n_nodes(), 1.0);
  std::vector<double> inverse(s.temperature.size()), conductance(v.edges.size()),
      flux(v.edges.size()), gradient(v.n_nodes()), neutral(v.n_nodes(), 0.0), rate(v.n_nodes()),
      diagonal(v.n_nodes(), 0.0), right(v.n_nodes(), 0.0);
  std::vector<std::uint8_t> unknown(v.n_nodes(), 1);
  for (std::size_t i : outlets) unknown[i] = 0;
  right[index(setup.model.injection)] = flow;
  SubsetSolver solver(v.n_nodes(), v.edges);
  SteadyHeat result;
  result.pressure.assign(v.n_nodes(), 0.0);
  for (int round = 0; round < rounds; ++round) {
    inverse_viscosity(setup.material, grid, mould_contact(setup),
                      {s.temperature, result.pressure, v.half_gap, full, v.contact}, inverse);
    for (int i = 0; i < 5; ++i) {
      mobility.conductance(state, conductance);
      REQUIRE(solver.solve(conductance, diagonal, right, unknown, result.pressure).converged);
      mobility.update(inverse, result.pressure, state);
    }
    for (std::size_t e = 0; e < flux.size(); ++e)
      flux[e] = conductance[e] * (result.pressure[v.edges[e][0]] - result.pressure[v.edges[e][1]]);
    mobility.node_gradient(state, gradient);
    SweepInput in{dt,
                  full,
                  full,
                  result.pressure,
                  flux,
                  inverse,
                  gradient,
                  neutral,
                  index(setup.model.injection),
                  flow};
    sweep.advance(in, s.temperature, rate);
  }
  result.temperature = s.temperature;
  return result;
}

/// Shares of a Newtonian slit's flow in the layers of the half gap: (3/2)(1 - y²) integrated.
std::vector<double> parabola_shares(int n) {
  const GapGrid grid(n, false);
  std::vector<double> share;
  const auto cumulated = [](double y) { return 1.5 * (y - y * y * y / 3.0); };
  for (int l = 0; l < n; ++l)
    share.push_back(cumulated(grid.border(l + 1)) - cumulated(grid.border(l)));
  return share;
}

}  // namespace

TEST_CASE("a resting slab cools as the series, second order in the layers", "[verify][order]") {
  // Series of [CarslawJaeger1959]; with contact coefficient Bi = h_c H/k.
  const double H = 0.6 * mm;
  for (double biot : {0.0, 5.0}) {  // 0 stands for perfect contact
    double last = 1.0;
    for (int layers : {5, 10, 20}) {
      Setup s = thermal_setup(sample::channel(RoundSection{mm}, mm, 1), Newtonian{}, layers);
      const double a = diffusivity(s.material);
      const GapGrid grid(layers, false);
      const MouldContact contact{wall, wall,
                                 biot > 0.0 ? biot * s.material.conductivity / H : perfect_contact};
      ColumnSolver column(grid, s.material, contact);
      const std::vector<double> zero(static_cast<std::size_t>(layers), 0.0);
      std::vector<double> T(static_cast<std::size_t>(layers), melt);
      const double fourier = 0.5;  // a t/H²
      const int steps = 4000;      // far below the error of the layers
      ColumnInput in;
      in.volume = 1.0;
      in.half_gap = H;
      in.fill_before = in.fill_after = 1.0;
      in.dt = fourier * H * H / a / steps;
      in.heat_share = in.inflow = in.inflow_heat = in.outflow = zero;
      for (int k = 0; k < steps; ++k) column.advance(in, T);
      double mean = 0.0;
      for (int l = 0; l < layers; ++l) mean += grid.share(l, false) * T[l];
      const double found = (mean - wall) / (melt - wall);
      const double exact_mean =
          biot > 0.0 ? exact::slab_cooling_convective(fourier, biot, exact::Where::mean)
                     : exact::slab_cooling(fourier, exact::Where::mean);
      const double error = std::abs(found / exact_mean - 1.0);
      std::cout << "slab, Bi " << biot << ", " << layers << " layers: mean off by " << 100.0 * error
                << " %\n";
      if (layers > 5) CHECK(error < 0.35 * last);
      last = error;
    }
    CHECK(last < 5e-3);
  }
}

TEST_CASE("a round column cools as the cylinder series", "[verify][analytic]") {
  const int layers = 20;
  Setup s = thermal_setup(sample::channel(RoundSection{mm}, mm, 1), Newtonian{}, layers);
  const double a = diffusivity(s.material), R = 2.0 * mm;
  for (bool walls_differ : {false, true}) {
    const GapGrid grid(layers, walls_differ);
    const auto n = static_cast<std::size_t>(grid.columns());
    ColumnSolver column(grid, s.material, {wall, wall, perfect_contact});
    const std::vector<double> zero(n, 0.0);
    std::vector<double> T(n, melt);
    ColumnInput in;
    in.volume = 1.0;
    in.half_gap = R;
    in.round = true;
    in.fill_before = in.fill_after = 1.0;
    const double fourier = 0.2;
    in.dt = fourier * R * R / a / 4000;
    in.heat_share = in.inflow = in.inflow_heat = in.outflow = zero;
    for (int k = 0; k < 4000; ++k) column.advance(in, T);
    double mean = 0.0;
    for (std::size_t c = 0; c < n; ++c) mean += grid.share(static_cast<int>(c), true) * T[c];
    CHECK((mean - wall) / (melt - wall) ==
          Approx(exact::cylinder_cooling(fourier, exact::Where::mean)).epsilon(5e-3));
  }
}

TEST_CASE("melt flowing between cold walls cools as Graetz's series", "[verify][analytic]") {
  // [ShahLondon1978]; bulk temperature at X = a x/(V H²). Viscosity so low that no heat is made.
  const double h = 2 * mm, w = 10 * mm, length = 60 * mm;
  for (int nx : {60, 120, 240}) {
    const int layers = 20;
    const Setup s =
        thermal_setup(sample::strip(length, w, h, nx, 1), Newtonian{1e-4, 0.0, melt}, layers);
    const double a = diffusivity(s.material);
    const double V = a * length / (0.25 * h * h) / 0.5;  // X = 0.5 at the end
    const auto outlet = s.model.n_nodes() - 1;
    const SteadyHeat heat = steady_heat(s, V * w * h, {outlet, outlet - 1}, 3, 1e9);
    const auto share = parabola_shares(layers);
    double largest = 0.0;
    for (double X : {0.1, 0.2, 0.4}) {
      const auto row = static_cast<std::size_t>(std::lround(X / 0.5 * nx));
      const std::size_t node = 1 + 2 * (row - 1);
      double bulk = 0.0;
      for (std::size_t c = 0; c < share.size(); ++c)
        bulk += share[c] * heat.temperature[node * share.size() + c];
      const double found = (bulk - wall) / (melt - wall);
      largest = std::max(largest, std::abs(found - exact::graetz_slit_bulk(X)));
    }
    std::cout << "Graetz, " << nx << " elements: bulk temperature off by " << 100.0 * largest
              << " % of the range\n";
    if (nx == 240) CHECK(largest < 5e-3);
  }
}

TEST_CASE("shear heats a slit to the closed profile", "[verify][analytic][order]") {
  // T - T_w = τ_w γ̇_w H²/k (1 - (y/H)^(3+1/n))/((2+1/n)(3+1/n)) [BirdStewartLightfoot]
  const double h = 2 * mm, w = 4 * mm, length = 400 * mm, V = 0.02;
  const exact::PowerLawMelt melts[] = {{500.0, 1.0}, {1.5e4, 0.3}};
  const ViscosityLaw laws[] = {Newtonian{500.0, 0.0, melt}, PowerLaw{1.5e4, 0.3, 0.0, melt}};
  for (int k = 0; k < 2; ++k)
    for (int layers : {20, 40}) {
      Setup s = thermal_setup(sample::strip(length, w, h, 100, 1), laws[k], layers);
      s.process.melt_temperature = wall;
      s.material.heat_capacity = {{300.0}, {400.0}};  // short way until the profile is developed
      const auto outlet = s.model.n_nodes() - 1;
      const SteadyHeat heat = steady_heat(s, V * w * h, {outlet, outlet - 1}, 5, 1e9);
      const std::size_t node = outlet - 3;
      const double peak = exact::slit_heating(melts[k], h, V, s.material.conductivity, 0.0);
      double largest = 0.0;
      for (int c = 0; c < layers; ++c) {
        const double y = GapGrid(layers, false).column_centre(c) * 0.5 * h;
        const double found = heat.temperature[node * static_cast<std::size_t>(layers) +
                                              static_cast<std::size_t>(c)] -
                             wall;
        const double exact = exact::slit_heating(melts[k], h, V, s.material.conductivity, y);
        largest = std::max(largest, std::abs(found - exact) / peak);
      }
      std::cout << "viscous heating, n = " << melts[k].n << ", " << layers << " layers: off by "
                << 100.0 * largest << " % of the peak\n";
      // The heat of a thinning melt sits in the outermost layers: 20 of them cost a per cent.
      CHECK(largest < (layers == 20 ? 12e-3 : 5e-3));
    }
}

TEST_CASE("a self-heated pipe under a given gradient carries Kearsley's flow",
          "[verify][analytic]") {
  // [Kearsley1962]: Q/Q0 = 1 + β, 8β = δ(1 + β)², δ = b G² R⁴/(16 k μ0).
  const double R = 2 * mm, length = 2.0, b = 0.03, mu = 500.0;
  for (double delta : {0.5, 1.0, 1.5}) {
    Setup s =
        thermal_setup(sample::channel(RoundSection{2 * R}, length, 40), Newtonian{mu, b, wall}, 20);
    s.process.melt_temperature = wall;
    s.material.heat_capacity = {{300.0}, {1.0}};  // short way until the profile is developed
    const double G = std::sqrt(delta * 16.0 * s.material.conductivity * mu / (b * R * R * R * R));
    const double Q =
        exact::kearsley_flow_ratio(delta) * std::numbers::pi * R * R * R * R * G / (8.0 * mu);
    const SteadyHeat heat = steady_heat(s, Q, {40}, 60, 1e9);
    const double found = (heat.pressure[30] - heat.pressure[35]) / (5 * length / 40);
    INFO("delta = " << delta);
    CHECK(found == Approx(G).epsilon(5e-3));
  }
}

TEST_CASE("in an insulated mould all heat stays in the melt", "[verify][balance]") {
  // Energy in (melt at its temperature, work of the pressure) = energy stored, constant heat
  // capacity.
  Setup s = thermal_setup(sample::strip(60 * mm, 12 * mm, 1.2 * mm, 30, 6),
                          CrossWlf{0.252, 3.08e4, 4.76e10, 373.15, 0.0, 25.74, 61.06}, 10);
  s.process.contact_conductance = 0.0;
  Fill fill(s);
  State state = fill.start();
  double work = 0.0;
  while (!fill.done(state)) {
    const double before = state.injected;
    fill.step(state);
    work += state.injection_pressure * (state.injected - before);
    if (state.mode != FillMode::speed) break;
  }
  double stored = 0.0;
  const double c = s.material.density_melt * 2100.0;
  for (std::size_t i = 0; i < state.fill.size(); ++i) {
    double mean = 0.0;
    for (std::size_t l = 0; l < 10; ++l)
      mean += fill.grid().share(static_cast<int>(l), false) * state.temperature[i * 10 + l];
    stored += c * fill.volumes().volume[i] * state.fill.vector()[i] * (mean - melt);
  }
  REQUIRE(work > 0.0);
  CHECK(stored == Approx(work).epsilon(1e-6));
}

TEST_CASE("streams hand heat on to other profiles without loss or new extremes",
          "[verify][balance]") {
  // A parabola's flow over 20 layers, T = 500 - 80 ψ² K, divided anew for a plug of 12 layers.
  const std::size_t n = 20;
  const auto flow = parabola_shares(static_cast<int>(n));
  Streams streams(1, n);
  std::vector<double> upper(n), T(n), even(n, 1.0 / n), heat(n, 0.0);
  cumulate(flow, upper);
  for (std::size_t c = 0; c < n; ++c) {
    const double psi = 0.5 * (upper[c] + (c > 0 ? upper[c - 1] : 0.0));
    T[c] = 500.0 - 80.0 * psi * psi;
  }
  streams.leave(0, flow, T);
  std::vector<double> plug(n);
  cumulate(even, plug);
  streams.arrive(0, 2.0, T, plug, heat);
  double sent = 0.0;
  double got = 0.0;
  for (std::size_t c = 0; c < n; ++c) {
    sent += 2.0 * flow[c] * T[c];
    got += heat[c];
    const double psi = (static_cast<double>(c) + 0.5) / n;
    // Straight pieces on a parabola: the error is that of the curvature, far below a layer's step.
    CHECK(heat[c] / (2.0 * even[c]) == Approx(500.0 - 80.0 * psi * psi).margin(0.35));
    CHECK(heat[c] / (2.0 * even[c]) <= T.front() + 1e-9);
    CHECK(heat[c] / (2.0 * even[c]) >= T.back() - 1e-9);
  }
  CHECK(got == Approx(sent).epsilon(1e-14));
}

TEST_CASE("a layer flows by its warm side", "[verify][analytic]") {
  // ln η falls straight with temperature and temperature straight across the gap: 1/η₀ of a layer
  // is the integral of an exponential.
  Setup s =
      thermal_setup(sample::channel(RoundSection{mm}, mm, 1), Newtonian{100.0, 0.05, melt}, 8);
  const GapGrid grid(8, false);
  const double rise = -120.0;  // from the mid plane to the wall [K]
  std::vector<double> T, inverse(8);
  for (int l = 0; l < 8; ++l) T.push_back(melt + rise * grid.column_centre(l));
  const std::vector<double> zero{0.0}, half_gap{mm}, fill{1.0};
  inverse_viscosity(s.material, grid, {wall, wall, 0.0}, {T, zero, half_gap, fill}, inverse);
  for (int l = 1; l + 1 < 8; ++l) {  // borders inside are known; mid plane and wall are flat here
    const double a = 0.05 * rise * grid.border(l);
    const double b = 0.05 * rise * grid.border(l + 1);
    CHECK(inverse[l] == Approx((std::exp(b) - std::exp(a)) / (b - a) / 100.0).epsilon(1e-12));
  }
  s.material.no_flow_temperature = melt + rise * grid.border(5);
  inverse_viscosity(s.material, grid, {wall, wall, 0.0}, {T, zero, half_gap, fill}, inverse);
  CHECK(inverse[4] > 0.0);
  CHECK(inverse[5] == 0.0);
}
