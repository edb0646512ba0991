#include "solver/assess/warp_drivers.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {
namespace {

/// Nodes of each region with role part, each once, in the order of the model.
std::vector<std::vector<std::size_t>> nodes_of_each_part(const Model& model) {
  std::vector<std::vector<std::size_t>> nodes(model.regions.size());
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    for (const VertexId v : model.mesh.triangles[id])
      nodes[static_cast<std::size_t>(model.mesh.region[id])].push_back(
          index(model.node_of_vertex[v]));
  }
  std::vector<std::vector<std::size_t>> parts;
  for (std::size_t r = 0; r < nodes.size(); ++r) {
    if (model.regions[r].role != Role::part) continue;
    std::sort(nodes[r].begin(), nodes[r].end());
    nodes[r].erase(std::unique(nodes[r].begin(), nodes[r].end()), nodes[r].end());
    parts.push_back(std::move(nodes[r]));
  }
  return parts;
}

/// 5 to 95 % of the values: single nodes at mouths do not count.
double spread(std::vector<double> values) {
  if (values.size() < 2) return 0.0;
  constexpr double edge = 0.05;
  std::sort(values.begin(), values.end());
  const auto at = [&](double share) {
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
  };
  return at(1.0 - edge) - at(edge);
}

/// Mean over the fixed half of the gap less that over the moving half, where it is largest [K].
double largest_difference(const Setup& setup, const CycleResult& cycle,
                          const std::vector<std::size_t>& nodes) {
  const std::size_t n_nodes = cycle.ejectable.size();
  const std::size_t n = n_nodes > 0 ? cycle.temperature_open.size() / n_nodes : 0;
  const bool differ =
      setup.process.mould_temperature_fixed != setup.process.mould_temperature_moving;
  if (!differ || n < 2) return 0.0;
  const GapGrid grid(setup.accuracy.layers, true);
  double largest = 0.0;
  for (const std::size_t node : nodes) {
    double difference = 0.0;
    for (std::size_t c = 0; c < n; ++c)
      difference += (c < n / 2 ? 2.0 : -2.0) * grid.share(static_cast<int>(c), false) *
                    cycle.temperature_open[node * n + c];
    largest = std::max(largest, std::abs(difference));
  }
  return largest;
}

}  // namespace

std::vector<WarpDriver> warp_drivers(const Setup& setup, const State& state,
                                     const CycleResult& cycle) {
  std::vector<WarpDriver> drivers;
  const TaitPvt& pvt = setup.material.pvt;
  const double expansion_of_glass = pvt.b2s / (3.0 * pvt.b1s);
  const auto parts = nodes_of_each_part(setup.model);
  const bool held = state.hold.mode != HoldMode::not_begun;
  for (std::size_t k = 0; k < std::min(parts.size(), cycle.parts.size()); ++k) {
    const CooledPiece& piece = cycle.parts[k];
    if (piece.ejectable < 0.0) continue;
    if (held) {
      std::vector<double> linear;
      for (const std::size_t node : parts[k]) linear.push_back(state.hold.linear.vector()[node]);
      drivers.push_back({piece.name, WarpCause::uneven_shrinkage, spread(std::move(linear))});
    }
    drivers.push_back({piece.name, WarpCause::uneven_cooling,
                       expansion_of_glass * (piece.mean_open_high - piece.mean_open_low)});
    const double sides = largest_difference(setup, cycle, parts[k]);
    if (sides > 0.0)
      drivers.push_back({piece.name, WarpCause::one_sided_cooling, expansion_of_glass * sides});
  }
  std::stable_sort(drivers.begin(), drivers.end(),
                   [](const WarpDriver& a, const WarpDriver& b) { return a.strain > b.strain; });
  return drivers;
}

}  // namespace firstshot
