#include "solver/material/inverse_viscosity.hpp"

#include <cmath>

#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

/// exp(-ln η₀) for one node; ln η₀(T) is written out per law so that a layer costs one exponential.
struct Inverse {
  double T_min;
  double p;
  double operator()(const CrossWlf& law, double T) const {
    const double shift = T - law.D2 - law.D3 * p;
    return std::exp(law.A1 * shift / (law.A2 + T - law.D2)) / law.D1;
  }
  double operator()(const CrossExponential& law, double T) const {
    return std::exp(-law.Tb / T - law.beta * p) / law.B;
  }
  double operator()(const Newtonian& law, double T) const {
    return law.b == 0.0 ? 1.0 / law.eta_ref : std::exp(law.b * (T - law.T_ref)) / law.eta_ref;
  }
  double operator()(const PowerLaw& law, double T) const {
    return std::pow(law.K * std::exp(-law.b * (T - law.T_ref)), -1.0 / law.n);
  }
};

}  // namespace

void inverse_viscosity(const Material& material, std::span<const double> temperature,
                       std::span<const double> pressure, std::span<const double> active,
                       std::span<double> inverse) {
  const std::size_t nodes = pressure.size();
  if (nodes == 0) return;
  const std::size_t n = temperature.size() / nodes;
  std::visit(
      [&](const auto& law) {
        parallel_for(nodes, [&](std::size_t i) {
          if (!(active[i] > 0.0)) return;
          const Inverse at{material.no_flow_temperature, pressure[i]};
          for (std::size_t c = i * n; c < (i + 1) * n; ++c)
            inverse[c] = temperature[c] > at.T_min ? at(law, temperature[c]) : 0.0;
        });
      },
      material.viscosity);
}

}  // namespace firstshot
