// The one list of what is shown per node, so that writers and readers need no list of their own.
#pragma once

#include "solver/stage/state.hpp"

namespace firstshot {

/// Calls f(name, SI unit, NodeField<double>&) for each field, in a fixed order. Works on
/// NodeFields& and const NodeFields&.
template <class N, class F>
void for_each_node_field(N& fields, F&& f) {
  f("arrival_time", "s", fields.arrival_time);
  f("fill", "1", fields.fill);
  f("pressure", "Pa", fields.pressure);
  f("temperature_mean", "K", fields.temperature_mean);
  f("temperature_core", "K", fields.temperature_core);
  f("solid_share", "1", fields.solid_share);
  f("shear_rate", "1/s", fields.shear_rate);
  f("gas_pressure", "Pa", fields.gas_pressure);
  f("air_pocket", "1", fields.air_pocket);
  f("time_to_ejection", "s", fields.time_to_ejection);
  f("air_exit_energy", "J/m", fields.exit_energy);
  f("hold_begin_pressure", "Pa", fields.begin_pressure);
  f("frozen_pressure", "Pa", fields.frozen_pressure);
  f("volume_shrinkage", "1", fields.volume_shrinkage);
  f("void_share", "1", fields.void_share);
}

}  // namespace firstshot
