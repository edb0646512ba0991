// 1/η₀ of many layers at once, the form in which flow kernels take the temperature and pressure.
#pragma once

#include <span>

#include "solver/material/material.hpp"

namespace firstshot {

/// @param temperature (n_nodes, n_columns) [K] @param pressure (n_nodes) [Pa]
/// @param active (n_nodes) > 0 where melt is; other nodes keep what they hold
/// @param inverse out: 1/η₀ (n_nodes, n_columns) [1/(Pa s)], 0 below the no-flow temperature
void inverse_viscosity(const Material& material, std::span<const double> temperature,
                       std::span<const double> pressure, std::span<const double> active,
                       std::span<double> inverse);

}  // namespace firstshot
