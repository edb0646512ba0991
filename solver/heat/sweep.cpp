#include "solver/heat/sweep.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/numeric/parallel.hpp"

namespace firstshot {

/// Working space of one thread.
struct SweepScratch {
  SweepScratch(const GapGrid& grid, const Material& material, const MouldContact& contact)
      : column(grid, material, contact),
        upper(static_cast<std::size_t>(grid.columns())),
        inflow(upper.size()),
        inflow_heat(upper.size()),
        outflow(upper.size()) {}
  /// The profile of a column none of whose layers flows.
  void be_still(const GapGrid& grid, bool round) {
    profile.flow.resize(upper.size());
    for (std::size_t c = 0; c < upper.size(); ++c)
      profile.flow[c] = grid.share(static_cast<int>(c), round);
    profile.heat = profile.flow;
    profile.shear_rate = 0.0;
  }

  ColumnSolver column;
  GapProfile profile;
  std::vector<double> upper, inflow, inflow_heat, outflow;
};

HeatSweep::HeatSweep(const Setup& setup, const ControlVolumes& volumes, const GapGrid& grid,
                     const ReducedCurve& curve)
    : setup_(setup),
      volumes_(volumes),
      grid_(grid),
      curve_(curve),
      contact_(mould_contact(setup)),
      streams_(volumes.n_nodes(), static_cast<std::size_t>(grid.columns())),
      loop_(volumes.n_nodes()),
      upstream_(volumes.n_nodes()) {}

/// Level by level: first nodes that nothing flows to, then those whose upstream nodes are all
/// taken. Flow runs down the pressure, so there are no circles.
void HeatSweep::order_nodes(const SweepInput& in) {
  const std::size_t n = volumes_.n_nodes();
  const auto holds_melt = [&](std::int32_t i) { return in.fill_after[i] > 0.0; };
  parallel_for(n, [&](std::size_t i) {
    upstream_[i] = 0;
    for (const Neighbour& k : volumes_.around(i))
      upstream_[i] += k.sign * in.flux[k.edge] < 0.0 && holds_melt(k.node) ? 1 : 0;
  });
  order_.clear();
  for (std::size_t i = 0; i < n; ++i)
    if (upstream_[i] == 0 && in.fill_after[i] > 0.0) order_.push_back(static_cast<std::int32_t>(i));
  for (std::size_t at = 0; at < order_.size(); ++at)
    for (const Neighbour& k : volumes_.around(static_cast<std::size_t>(order_[at])))
      if (k.sign * in.flux[k.edge] > 0.0 && --upstream_[k.node] == 0 && holds_melt(k.node))
        order_.push_back(k.node);
  assert(std::ranges::count_if(in.fill_after, [](double f) { return f > 0.0; }) ==
         std::ssize(order_));
}

void HeatSweep::advance(const SweepInput& in, std::span<double> temperature,
                        std::span<double> shear_rate) {
  order_nodes(in);
  loop_.run(order_, [&](OrderedLoop& loop) {
    SweepScratch scratch(grid_, setup_.material, contact_);
    for (auto items = loop.next(); !items.empty(); items = loop.next())
      for (const std::int32_t item : items) {
        const auto node = static_cast<std::size_t>(item);
        advance_node(in, node, scratch, temperature);
        shear_rate[node] = scratch.profile.shear_rate;
        loop.end(item);
      }
  });
}

void HeatSweep::advance_node(const SweepInput& in, std::size_t node, SweepScratch& scratch,
                             std::span<double> temperature) {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const std::span<const double> inverse = in.inverse.subspan(node * n, n);
  const bool round = volumes_.round[node] != 0;
  const double half = volumes_.half_gap[node];
  const bool flows = std::any_of(inverse.begin(), inverse.end(), [](double i) { return i > 0.0; });
  if (!flows)
    scratch.be_still(grid_, round);
  else if (round)
    round_profile({curve_, grid_, inverse}, half, in.gradient[node], scratch.profile);
  else
    slit_profile({curve_, grid_, inverse}, half, in.gradient[node], in.neutral[node],
                 scratch.profile);
  cumulate(scratch.profile.flow, scratch.upper);
  std::fill(scratch.inflow_heat.begin(), scratch.inflow_heat.end(), 0.0);
  double inflow = 0.0;
  double outflow = 0.0;
  // Melt stored during the step came in against gas pressure; the work up to the pressure at the
  // end of the step has been spent on the way: without it a share of the order of the step would be
  // lost.
  const double gas = in.gas_pressure.empty() ? setup_.gas_pressure : in.gas_pressure[node];
  double heating = (in.pressure[node] - gas) * volumes_.volume[node] *
                   (in.fill_after[node] - in.fill_before[node]) / in.dt;
  for (const Neighbour& k : volumes_.around(node)) {
    const double q = k.sign * in.flux[k.edge];  // out of this node
    heating += 0.5 * q * (in.pressure[node] - in.pressure[k.node]);
    if (q >= 0.0) {
      outflow += q;
      continue;
    }
    inflow -= q;
    loop_.wait_for(k.node);
    const auto upstream = static_cast<std::size_t>(k.node);
    streams_.arrive(upstream, -q, temperature.subspan(upstream * n, n), scratch.upper,
                    scratch.inflow_heat);
  }
  const double fed = node == in.inlet ? std::max(in.inlet_flow, 0.0) : 0.0;
  if (node == in.inlet) outflow += std::max(-in.inlet_flow, 0.0);
  inflow += fed;
  for (std::size_t c = 0; c < n; ++c) {
    const double share = scratch.profile.flow[c];
    scratch.inflow[c] = inflow * share;
    scratch.outflow[c] = outflow * share;
    scratch.inflow_heat[c] += fed * share * setup_.process.melt_temperature;
  }
  ColumnInput column;
  column.volume = volumes_.volume[node];
  column.half_gap = half;
  column.round = round;
  column.contact = volumes_.contact[node];
  column.fill_before = in.fill_before[node];
  column.fill_after = in.fill_after[node];
  column.dt = in.dt;
  column.heating = heating;
  column.heat_share = scratch.profile.heat;
  column.inflow = scratch.inflow;
  column.inflow_heat = scratch.inflow_heat;
  column.outflow = scratch.outflow;
  column.detached = !in.let_go.empty() && in.let_go[node] >= 0.0;
  column.stored = in.stores_melt ? inflow - outflow : 0.0;
  scratch.column.advance(column, temperature.subspan(node * n, n));
  streams_.leave(node, scratch.profile.flow, temperature.subspan(node * n, n));
}

}  // namespace firstshot
