#include <algorithm>
#include <limits>

#include "solver/flow/air_outlets.hpp"
#include "solver/flow/gap_flow.hpp"
#include "solver/stage/hold_fields.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

NodeFields node_fields(const Setup& setup, const State& state) {
  const std::size_t n = state.fill.size();
  const auto columns = n > 0 ? state.temperature.size() / n : 0;
  const bool walls_differ =
      setup.process.mould_temperature_fixed != setup.process.mould_temperature_moving;
  const GapGrid grid(setup.accuracy.layers, walls_differ);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  NodeFields f;
  f.arrival_time = NodeField<double>(n, nan);
  f.fill = state.fill;
  for (double& share : f.fill.span())
    share = std::min(share, 1.0);  // a step may end with a little more
  f.pressure = state.pressure;
  f.temperature_mean = NodeField<double>(n, nan);
  f.temperature_core = NodeField<double>(n, nan);
  f.solid_share = NodeField<double>(n, 0.0);
  f.shear_rate = state.shear_rate;
  f.gas_pressure = NodeField<double>(n, nan);
  f.air_pocket = NodeField<double>(n, nan);
  f.exit_energy = NodeField<double>(n, 0.0);
  f.begin_pressure = state.hold.begin.empty() ? NodeField<double>(n, nan) : state.hold.begin;
  f.frozen_pressure = frozen_pressure(state);
  f.volume_shrinkage = volume_shrinkage(setup, state);
  f.void_share = void_share(setup, state);
  if (state.air.exit_energy.size() > 0) {
    const std::vector<double> length = shut_off_length(setup);
    for (std::size_t i = 0; i < n; ++i)
      if (length[i] > 0.0)
        f.exit_energy.vector()[i] = state.air.exit_energy.vector()[i] / length[i];
  }
  for (std::size_t i = 0; i < n; ++i) {
    const auto node = make_id<NodeId>(i);
    if (state.fill[node] >= 1.0) continue;
    const bool followed = state.air.pocket.size() > 0;
    f.gas_pressure[node] = followed ? state.air.gas_pressure[node] : setup.gas_pressure;
    if (followed && state.air.pocket[node] >= 0.0) f.air_pocket[node] = state.air.pocket[node];
  }
  std::vector<bool> round(n, true);
  for (NodeId node : setup.model.node_of_vertex.span()) round[index(node)] = false;
  const std::size_t core = walls_differ ? columns / 2 : 0;
  for (std::size_t i = 0; i < n; ++i) {
    const auto node = make_id<NodeId>(i);
    if (state.arrival[node] >= 0.0) f.arrival_time[node] = state.arrival[node];
    if (!(state.fill[node] > 0.0)) continue;
    double mean = 0.0;
    for (std::size_t c = 0; c < columns; ++c) {
      const double T = state.temperature[i * columns + c];
      const double share = grid.share(static_cast<int>(c), round[i]);
      mean += share * T;
    }
    f.temperature_mean[node] = mean;
    f.temperature_core[node] = state.temperature[i * columns + core];
    f.solid_share[node] =
        grid.share_below(std::span(state.temperature).subspan(i * columns, columns),
                         setup.material.no_flow_temperature);
  }
  f.time_to_ejection = NodeField<double>(n, nan);
  for (std::size_t i = 0; i < state.hold.ejectable.size(); ++i)
    if (state.hold.mode != HoldMode::not_begun && state.hold.ejectable.vector()[i] >= 0.0)
      f.time_to_ejection.vector()[i] = state.hold.ejectable.vector()[i];
  return f;
}

}  // namespace firstshot
