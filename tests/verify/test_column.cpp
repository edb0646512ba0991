// One resting column of the heat solver against half-spaces and slabs [CarslawJaeger1959].
#include <cmath>
#include <iostream>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/heat/column.hpp"
#include "tests/verify/exact_solutions.hpp"

using namespace firstshot;

namespace {

constexpr double wall = 40.0, melt = 220.0;  // [°C]: only differences count at rest
constexpr double perfect_contact = 1e12;     // [W/(m² K)]

/// Conductivity, density and heat capacity 1: times are Fourier numbers of the half gap 1.
Material plain_material() {
  Material m;
  m.conductivity = 1.0;
  m.density_melt = 1.0;
  m.heat_capacity = {{0.0}, {1.0}};
  return m;
}

/// Temperatures after `time` in equal steps.
std::vector<double> rest(const GapGrid& grid, const Material& material, const MouldContact& contact,
                         std::vector<double> temperature, double time, int steps) {
  ColumnSolver column(grid, material, contact);
  const std::vector<double> zero(temperature.size(), 0.0);
  ColumnInput in;
  in.volume = in.half_gap = in.fill_before = in.fill_after = 1.0;
  in.dt = time / steps;
  in.heat_share = in.inflow = in.inflow_heat = in.outflow = zero;
  for (int k = 0; k < steps; ++k) column.advance(in, temperature);
  return temperature;
}

}  // namespace

TEST_CASE("two half-spaces that touch take their contact temperature at once and keep it",
          "[verify][analytic]") {
  // One column, its lower half cold and of more heat capacity: effusivities 1 and e.
  const GapGrid grid(160, true);
  for (double e : {1.0, 2.0, 3.0}) {
    const double contact = exact::contact_temperature(e, wall, 1.0, melt);
    Material m = plain_material();
    m.heat_capacity = {{contact - 1e-6, contact + 1e-6}, {e * e, 1.0}};
    std::vector<double> start(320, wall);
    std::fill(start.begin() + 160, start.end(), melt);
    for (double time : {0.01, 0.02, 0.04}) {
      const auto T = rest(grid, m, {wall, melt, 0.0}, start, time, 4000);
      const double found = 0.5 * (T[159] + T[160]);
      INFO("effusivities 1 and " << e << ", time " << time);
      CHECK((found - wall) / (melt - wall) ==
            Approx((contact - wall) / (melt - wall)).margin(5e-3));
    }
  }
}

TEST_CASE("melt on an aluminium mould freezes to the depth of the half-space",
          "[verify][analytic]") {
  // Effusivities of aluminium 7075 and polystyrene (from memory, unconfirmed): touch at 45.2 °C,
  // isotherm from erf(d/(2√(a t))) = (T - T_w)/(T_0 - T_w).
  const double touch = exact::contact_temperature(18727, wall, 555, melt);
  const GapGrid grid(80, false);
  const double time = 0.02;  // the middle does not feel the wall yet
  const auto T = rest(grid, plain_material(), {touch, touch, perfect_contact},
                      std::vector<double>(80, melt), time, 4000);
  for (double isotherm : {100.0, 110.0, 120.0}) {
    std::size_t c = 79;
    while (T[c] < isotherm) --c;
    const double here = grid.column_centre(static_cast<int>(c));
    const double next = grid.column_centre(static_cast<int>(c) + 1);
    const double depth = 1.0 - here - (next - here) * (T[c] - isotherm) / (T[c] - T[c + 1]);
    INFO("isotherm " << isotherm);
    CHECK(depth == Approx(exact::isotherm_depth(1.0, time, touch, melt, isotherm)).epsilon(5e-3));
  }
}

TEST_CASE("the face of a half-space behind a contact resistance cools as the closed form",
          "[verify][analytic]") {
  // θ at the face = exp(x²) erfc(x), x = h_c √(a t)/k. The face lies half a layer beyond the last
  // middle; its temperature follows from the flow through contact and half layer in series.
  constexpr int layers = 160;
  const GapGrid grid(layers, false);
  for (double h : {5.0, 20.0}) {
    for (double time : {0.005, 0.02}) {
      const auto T = rest(grid, plain_material(), {wall, wall, h},
                          std::vector<double>(layers, melt), time, 4000);
      const double half_layer = 1.0 - grid.column_centre(layers - 1);
      const double flow = (T.back() - wall) / (1.0 / h + half_layer);
      const double x = h * std::sqrt(time);
      INFO("h = " << h << ", time " << time);
      CHECK(flow / h / (melt - wall) == Approx(std::exp(x * x) * std::erfc(x)).epsilon(5e-3));
    }
  }
}

TEST_CASE("the middle of a slab is cold at the tabulated times, whatever its contact",
          "[verify][analytic]") {
  // Fourier number at which a quarter of the difference is left in the middle, roots of z tan z =
  // Bi; digits computed from the series.
  struct Row {
    double biot, fourier;
  };
  constexpr int layers = 20;  // those of the default accuracy
  const GapGrid grid(layers, false);
  for (const Row& row : {Row{2, 1.337032}, Row{5, 0.927838}, Row{10, 0.792960}, Row{20, 0.726074},
                         Row{50, 0.686197}, Row{perfect_contact, 0.659746}}) {
    const auto T = rest(grid, plain_material(), {wall, wall, row.biot},
                        std::vector<double>(layers, melt), row.fourier, 4000);
    // At the mid plane itself: a parabola through the first two middles, flat at 0.
    const double middle = (9.0 * T[0] - T[1]) / 8.0;
    std::cout << "slab, Bi " << row.biot << ": middle off by "
              << 100.0 * ((middle - wall) / (melt - wall) / 0.25 - 1.0) << " %\n";
    CHECK((middle - wall) / (melt - wall) == Approx(0.25).epsilon(5e-3));
  }
}
