#include "solver/heat/column.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {

namespace {

/// Conduction that stands beside upwind convection so that both together are exact for a steady
/// profile between two centres: x/(e^x - 1) of the plain one at x = flow/conduction
/// [ScharfetterGummel1969]. Upwind alone blurs like a conduction of half the flow across.
double fitted(double conduction, double flow) {
  const double x = std::abs(flow);
  constexpr double small = 1e-3;
  if (x <= small * conduction) return conduction - 0.5 * x;
  constexpr double largest_exponent = 700.0;
  return x / std::expm1(std::min(x / conduction, largest_exponent));
}

}  // namespace

MouldContact mould_contact(const Setup& setup) {
  return {setup.process.mould_temperature_fixed, setup.process.mould_temperature_moving,
          setup.isothermal ? 0.0 : setup.process.contact_conductance,
          std::min(setup.cooling.detached_conductance, setup.process.contact_conductance)};
}

ColumnSolver::ColumnSolver(const GapGrid& grid, const Material& material,
                           const MouldContact& contact)
    : grid_(grid), material_(material), contact_(contact) {
  const auto n = static_cast<std::size_t>(grid.columns());
  for (auto* v : {&lower_, &diagonal_, &upper_, &right_, &excess_, &across_}) v->assign(n, 0.0);
}

void ColumnSolver::advance(const ColumnInput& in, std::span<double> temperature) {
  const int n = grid_.columns();
  for (auto* v : {&lower_, &diagonal_, &upper_, &right_, &across_})
    std::fill(v->begin(), v->end(), 0.0);
  double mean = 0.0;
  for (int c = 0; c < n; ++c) mean += grid_.share(c, in.round) * temperature[c];
  const double rho = material_.density_melt;
  for (int c = 0; c < n; ++c) {
    // c_p by layer: the glass at the wall holds a quarter less heat than the core.
    const double store = rho * material_.heat_capacity.at(temperature[c]) *
                         grid_.share(c, in.round) * in.volume * in.fill_before / in.dt;
    diagonal_[c] += store;
    right_[c] += store * temperature[c] + in.heating * in.heat_share[c];
  }
  add_flow(in, rho * material_.heat_capacity.at(mean));
  add_conduction(in);
  solve(temperature);
}

void ColumnSolver::add_flow(const ColumnInput& in, double heat_capacity_volume) {
  const int n = grid_.columns();
  const double growth = in.volume * (in.fill_after - in.fill_before) / in.dt + in.stored;
  double excess_sum = 0.0;
  double excess_heat = 0.0;
  for (int c = 0; c < n; ++c) {
    excess_[c] = in.inflow[c] - in.outflow[c] - grid_.share(c, in.round) * growth;
    if (excess_[c] > 0.0 && in.inflow[c] > 0.0) {
      excess_sum += excess_[c];
      excess_heat += excess_[c] * in.inflow_heat[c] / in.inflow[c];
    }
  }
  if (in.fill_before < 1.0 && excess_sum > 0.0) {
    // At the front the fast core turns over onto the walls (fountain flow).
    const double fountain = excess_heat / excess_sum;
    for (int c = 0; c < n; ++c) {
      const double kept = in.inflow[c] - std::max(excess_[c], 0.0);
      if (in.inflow[c] > 0.0 && kept > 0.0) {
        diagonal_[c] += heat_capacity_volume * kept;
        right_[c] += heat_capacity_volume * kept * in.inflow_heat[c] / in.inflow[c];
      }
      const double turned = std::max(-excess_[c], 0.0);
      diagonal_[c] += heat_capacity_volume * turned;
      right_[c] += heat_capacity_volume * turned * fountain;
    }
    return;
  }
  double across = 0.0;  // flow from layer c to layer c + 1
  for (int c = 0; c < n; ++c) {
    diagonal_[c] += heat_capacity_volume * in.inflow[c];
    right_[c] += heat_capacity_volume * in.inflow_heat[c];
    across += excess_[c];
    if (c + 1 == n) break;
    across_[c] = heat_capacity_volume * across;
    if (across > 0.0) {
      diagonal_[c + 1] += heat_capacity_volume * across;
      lower_[c + 1] -= heat_capacity_volume * across;
    } else {
      diagonal_[c] -= heat_capacity_volume * across;
      upper_[c] += heat_capacity_volume * across;
    }
  }
}

void ColumnSolver::add_conduction(const ColumnInput& in) {
  const int n = grid_.columns();
  const double k = material_.conductivity;
  const double halves = grid_.walls_differ() ? 2.0 : 1.0;
  // Area of a surface at ζ = 1 on one column's side: V/H (slit, both walls), 2V/R (round).
  const double wall_area =
      (in.round ? 2.0 : 1.0) * in.volume * in.fill_after / (in.half_gap * halves);
  for (int c = 0; c + 1 < n; ++c) {
    const double area = in.round ? wall_area * std::abs(grid_.column_border(c + 1)) : wall_area;
    const double distance = grid_.column_centre(c + 1) - grid_.column_centre(c);
    const double plain = k * area / (in.half_gap * distance);
    const double g = fitted(plain, across_[c]);
    diagonal_[c] += g;
    diagonal_[c + 1] += g;
    upper_[c] -= g;
    lower_[c + 1] -= g;
  }
  if (contact_.conductance <= 0.0) return;
  const double wall_layer = in.half_gap * (1.0 - grid_.border(grid_.layers() - 1));
  const double contact = in.contact * (in.detached ? contact_.detached : contact_.conductance);
  const double series = wall_area / (1.0 / contact + 0.5 * wall_layer / k);
  const double outer =
      grid_.walls_differ() ? contact_.moving : 0.5 * (contact_.fixed + contact_.moving);
  diagonal_[n - 1] += series;
  right_[n - 1] += series * outer;
  if (!grid_.walls_differ()) return;
  diagonal_[0] += series;
  right_[0] += series * contact_.fixed;
}

void ColumnSolver::solve(std::span<double> temperature) {
  const int n = grid_.columns();
  if (!(diagonal_[0] > 0.0)) return;
  for (int c = 1; c < n; ++c) {
    const double m = lower_[c] / diagonal_[c - 1];
    diagonal_[c] -= m * upper_[c - 1];
    right_[c] -= m * right_[c - 1];
  }
  temperature[n - 1] = right_[n - 1] / diagonal_[n - 1];
  for (int c = n - 2; c >= 0; --c)
    temperature[c] = (right_[c] - upper_[c] * temperature[c + 1]) / diagonal_[c];
}

}  // namespace firstshot
