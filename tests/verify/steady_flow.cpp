#include "tests/verify/steady_flow.hpp"

#include <stdexcept>

#include "solver/flow/mobility.hpp"
#include "solver/heat/inverse_viscosity.hpp"
#include "solver/stage/fill.hpp"

namespace firstshot::sample {

SteadyFlow steady_flow(const Setup& setup, double flow, const std::vector<std::size_t>& outlets) {
  const Fill fill(setup);
  State s = fill.start();
  const ReducedCurve curve(setup.material.viscosity);
  Mobility mobility(setup, fill.grid(), curve);
  const ControlVolumes& v = mobility.volumes();
  const MobilityState state{s.gradient.span(), s.neutral.span(), s.fluidity.span(),
                            s.line_gradient.span(), s.line_fluidity.span()};
  std::vector<double> inverse(s.temperature.size());
  const std::vector<double> all(v.n_nodes(), 1.0);
  inverse_viscosity(setup.material, fill.grid(), {0.0, 0.0, 0.0},
                    {s.temperature, s.pressure.span(), v.half_gap, all, v.contact}, inverse);
  SteadyFlow result;
  result.pressure.assign(v.n_nodes(), 0.0);
  std::vector<double> diagonal(v.n_nodes(), 0.0), right(v.n_nodes(), 0.0);
  std::vector<double> conductance(v.edges.size());
  std::vector<std::uint8_t> unknown(v.n_nodes(), 1);
  for (std::size_t i : outlets) unknown[i] = 0;
  right[index(setup.model.injection)] = flow;
  SubsetSolver solver(v.n_nodes(), v.edges);
  constexpr int most = 200;
  double change = 1.0;
  for (int i = 0; i < most && change > 1e-9; ++i) {
    mobility.conductance(state, conductance);
    if (!solver.solve(conductance, diagonal, right, unknown, result.pressure).converged)
      throw std::runtime_error("steady flow: singular");
    change = mobility.update(inverse, result.pressure, state);
  }
  for (std::size_t i : outlets) {
    double sum = 0.0;
    for (const Neighbour& k : v.around(i))
      sum += conductance[k.edge] * (result.pressure[k.node] - result.pressure[i]);
    result.outflow.push_back(sum);
  }
  return result;
}

}  // namespace firstshot::sample
