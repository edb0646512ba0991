#include "solver/whole/fill_record.hpp"

#include <algorithm>
#include <map>

namespace firstshot {

FillRecorder::FillRecorder(const Setup& setup) {
  const Model& model = setup.model;
  for (const LineElement& line : model.lines.span())
    for (const NodeId end : {line.from, line.to}) record_.nodes.push_back(index(end));
  std::sort(record_.nodes.begin(), record_.nodes.end());
  record_.nodes.erase(std::unique(record_.nodes.begin(), record_.nodes.end()), record_.nodes.end());
  std::vector<std::size_t> part_of(model.regions.size(), 0);
  for (std::size_t r = 0; r < model.regions.size(); ++r)
    if (model.regions[r].role == Role::part) part_of[r] = parts_++;
  std::map<std::pair<std::size_t, std::size_t>, double> volumes;  // (part, node) → [m³]
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto region = static_cast<std::size_t>(model.mesh.region[id]);
    if (model.regions[region].role != Role::part) continue;
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c)
      volumes[{part_of[region], index(model.node_of_vertex[model.mesh.triangles[id][c]])}] +=
          areas[c] * model.thickness[id];
  }
  for (const auto& [key, volume] : volumes)
    pieces_.push_back({key.first, make_id<NodeId>(key.second), volume});
}

void FillRecorder::see(const Snapshot& snapshot) {
  const State& state = snapshot.state;
  if (state.hold.mode != HoldMode::not_begun) return;
  record_.time.push_back(state.time);
  record_.injection.push_back(state.injection_pressure);
  // The step that reaches switch-over ends in the mode of the next one.
  const FillMode during =
      state.mode == FillMode::holding || state.mode == FillMode::done ? before_ : state.mode;
  record_.by_pressure.push_back(during != FillMode::speed);
  before_ = state.mode;
  std::vector<double> pressure, flow, melt(parts_, 0.0);
  std::vector<bool> full;
  for (const std::size_t node : record_.nodes) {
    const auto id = make_id<NodeId>(node);
    pressure.push_back(state.pressure[id]);
    full.push_back(state.full[id] >= 0.0);
  }
  for (const Piece& p : pieces_) melt[p.part] += p.volume * state.fill[p.node];
  for (std::size_t k = 0; k < state.line_fluidity.size(); ++k)
    flow.push_back(state.line_fluidity[make_id<LineId>(k)] *
                   state.line_gradient[make_id<LineId>(k)]);
  record_.pressure.push_back(std::move(pressure));
  record_.full.push_back(std::move(full));
  record_.melt.push_back(std::move(melt));
  record_.flow.push_back(std::move(flow));
}

}  // namespace firstshot
