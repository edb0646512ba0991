#include "solver/stage/hold_fields.hpp"

#include <algorithm>
#include <limits>

namespace firstshot {
namespace {

/// Of a control volume beside a void: keeps what shrinks there finite.
constexpr double least_solid = 0.01;

std::vector<double> node_volumes(const Model& model) {
  std::vector<double> volume(model.n_nodes(), 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c)
      volume[index(model.node_of_vertex[model.mesh.triangles[id][c]])] +=
          areas[c] * model.thickness[id];
  }
  for (const LineElement& line : model.lines.span())
    for (const NodeId end : {line.from, line.to})
      volume[index(end)] += 0.5 * firstshot::volume(line);
  return volume;
}

double hollow(const HoldState& h, std::size_t node) {
  return h.hollow.empty() ? 0.0 : h.hollow.vector()[node];
}

}  // namespace

NodeField<double> held_density(const Setup& setup, const State& state) {
  const HoldState& h = state.hold;
  NodeField<double> out(setup.model.n_nodes(), std::numeric_limits<double>::quiet_NaN());
  if (h.mode == HoldMode::not_begun) return out;
  const std::vector<double> volume = node_volumes(setup.model);
  for (std::size_t i = 0; i < volume.size(); ++i) out.vector()[i] = h.mass.vector()[i] / volume[i];
  return out;
}

NodeField<double> volume_shrinkage(const Setup& setup, const State& state) {
  const HoldState& h = state.hold;
  NodeField<double> out(setup.model.n_nodes(), std::numeric_limits<double>::quiet_NaN());
  if (h.mode == HoldMode::not_begun) return out;
  const std::vector<double> volume = node_volumes(setup.model);
  const double cold = specific_volume(setup.material.pvt, room_temperature, 0.0);
  for (std::size_t i = 0; i < volume.size(); ++i)
    out.vector()[i] = 1.0 - h.mass.vector()[i] * cold /
                                std::max(volume[i] - hollow(h, i), least_solid * volume[i]);
  return out;
}

NodeField<double> void_share(const Setup& setup, const State& state) {
  const HoldState& h = state.hold;
  NodeField<double> out(setup.model.n_nodes(), std::numeric_limits<double>::quiet_NaN());
  if (h.mode == HoldMode::not_begun) return out;
  const std::vector<double> volume = node_volumes(setup.model);
  for (std::size_t i = 0; i < volume.size(); ++i) out.vector()[i] = hollow(h, i) / volume[i];
  return out;
}

NodeField<double> frozen_pressure(const State& state) {
  const HoldState& h = state.hold;
  NodeField<double> out(state.pressure.size(), std::numeric_limits<double>::quiet_NaN());
  if (h.mode == HoldMode::not_begun) return out;
  for (std::size_t i = 0; i < out.size(); ++i)
    out.vector()[i] =
        h.frozen.vector()[i] + (1.0 - h.solid.vector()[i]) * state.pressure.vector()[i];
  return out;
}

}  // namespace firstshot
