// What a State in holding shows per node.
#pragma once

#include "solver/stage/state.hpp"

namespace firstshot {

/// Parts are measured at this temperature (23 °C) [K].
inline constexpr double room_temperature = 296.15;

/// Mass over volume of each control volume, voids counted in (n_nodes) [kg/m³]; NaN where nothing
/// is held.
NodeField<double> held_density(const Setup& setup, const State& state);
/// 1 - m v(23 °C, 0)/V of the mass m that is in the control volume V now (n_nodes) [-]; NaN where
/// nothing is held.
NodeField<double> volume_shrinkage(const Setup& setup, const State& state);
/// Share of each control volume that caught air keeps free (n_nodes) [-]; NaN where nothing is
/// held.
NodeField<double> void_share(const Setup& setup, const State& state);
/// Mean pressure at which the layers have turned to glass; for those that have not, the pressure of
/// now (n_nodes) [Pa]; NaN where nothing is held.
NodeField<double> frozen_pressure(const State& state);

}  // namespace firstshot
