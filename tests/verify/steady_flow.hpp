// Steady flow through a full model: the solver's own fluidity and network, without a front.
#pragma once

#include <vector>

#include "solver/setup.hpp"

namespace firstshot::sample {

struct SteadyFlow {
  std::vector<double> pressure;  ///< (n_nodes) [Pa]
  std::vector<double> outflow;   ///< through each outlet [m³/s]
};

/// @param flow into Model::injection [m³/s] @param outlets nodes held at zero pressure
SteadyFlow steady_flow(const Setup& setup, double flow, const std::vector<std::size_t>& outlets);

}  // namespace firstshot::sample
