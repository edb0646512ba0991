#include "solver/assess/flow_paths.hpp"

#include <algorithm>
#include <cmath>

#include "solver/assess/node_walls.hpp"

namespace firstshot {
namespace {

void spend(FlowPath& path, Role role, double pressure) {
  if (role == Role::sprue) path.sprue += pressure;
  if (role == Role::runner) path.runners += pressure;
  if (role == Role::gate) path.gates += pressure;
  if (role == Role::part) path.parts += pressure;
}

const LineElement* line_between(const Model& model,
                                const std::vector<std::vector<std::size_t>>& lines_at,
                                std::size_t a, std::size_t b) {
  for (const std::size_t k : lines_at[a]) {
    const LineElement& e = model.lines[make_id<LineId>(k)];
    if (index(e.from) == b || index(e.to) == b) return &e;
  }
  return nullptr;
}

double pressure_at(const std::vector<HistoryEntry>& history, double time) {
  for (std::size_t i = 1; i < history.size(); ++i) {
    if (history[i].time < time) continue;
    const HistoryEntry &a = history[i - 1], &b = history[i];
    const double s =
        b.time > a.time ? std::clamp((time - a.time) / (b.time - a.time), 0.0, 1.0) : 1;
    return a.injection_pressure + s * (b.injection_pressure - a.injection_pressure);
  }
  return history.back().injection_pressure;
}

}  // namespace

std::vector<FlowPath> flow_paths(const Setup& setup, const State& state) {
  const Model& model = setup.model;
  const NodeWalls around = node_walls(model);
  std::vector<std::vector<std::size_t>> lines_at(model.n_nodes());
  for (std::size_t k = 0; k < model.lines.size(); ++k) {
    const LineElement& e = model.lines[make_id<LineId>(k)];
    lines_at[index(e.from)].push_back(k);
    lines_at[index(e.to)].push_back(k);
  }
  std::vector<std::size_t> last(model.regions.size(), model.n_nodes());
  for (std::size_t i = 0; i < model.n_nodes(); ++i) {
    if (around.region[i] < 0 || state.arrival.vector()[i] < 0.0) continue;
    std::size_t& best = last[static_cast<std::size_t>(around.region[i])];
    if (best == model.n_nodes() || state.arrival.vector()[i] > state.arrival.vector()[best])
      best = i;
  }
  std::vector<FlowPath> paths;
  for (std::size_t r = 0; r < last.size(); ++r) {
    if (model.regions[r].role != Role::part || last[r] == model.n_nodes()) continue;
    FlowPath path;
    path.region = static_cast<std::int32_t>(r);
    std::size_t node = last[r];
    path.end = {model.position.vector()[node].x, model.position.vector()[node].y};
    path.air = state.peak_field.vector()[node];
    for (std::size_t hops = 0; state.front.origin[node] >= 0.0 && hops < model.n_nodes(); ++hops) {
      const auto from = static_cast<std::size_t>(state.front.origin[node]);
      const double lost = state.peak_field.vector()[from] - state.peak_field.vector()[node];
      const Point3 &p = model.position.vector()[node], &q = model.position.vector()[from];
      double length = std::hypot(p.x - q.x, p.y - q.y, p.z - q.z);
      double wall = 0.5 * (around.wall[node] + around.wall[from]);
      Role role = Role::part;
      if (const LineElement* e = line_between(model, lines_at, node, from)) {
        length = e->length;
        wall = 0.5 * (depth(e->start) + depth(e->end));
        role = model.channels[static_cast<std::size_t>(e->channel)].role;
      } else if (around.region[node] >= 0) {
        role = model.regions[static_cast<std::size_t>(around.region[node])].role;
      }
      path.length += length;
      if (wall > 0.0) path.length_over_thickness += length / wall;
      spend(path, role, lost);
      node = from;
    }
    paths.push_back(path);
  }
  return paths;
}

std::optional<double> pressure_jump(const std::vector<HistoryEntry>& history, double time,
                                    double window) {
  if (history.size() < 2 || !(window > 0.0)) return std::nullopt;
  if (time - 2.0 * window < history.front().time || time + window > history.back().time)
    return std::nullopt;
  const double before = pressure_at(history, time - window);
  const double trend = before - pressure_at(history, time - 2.0 * window);
  return pressure_at(history, time + window) - before - 2.0 * trend;
}

}  // namespace firstshot
