#include "solver/assess/trap_cause.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

#include "solver/assess/node_walls.hpp"

namespace firstshot {
namespace {

constexpr double even = 0.9;  // of the wall around: no cause, own judgement
constexpr double mm = 1e-3;

/// The nodes of the triangles around each node (n_nodes).
std::vector<std::vector<std::size_t>> nodes_beside(const Model& model) {
  std::vector<std::vector<std::size_t>> beside(model.n_nodes());
  for (const auto& triangle : model.mesh.triangles.span())
    for (const VertexId v : triangle)
      for (const VertexId other : triangle)
        beside[index(model.node_of_vertex[v])].push_back(index(model.node_of_vertex[other]));
  return beside;
}

/// Nodes with melt beside the air of a pocket: beside what is left of it, else around its last
/// node.
std::vector<std::size_t> around_air(const State& state,
                                    const std::vector<std::vector<std::size_t>>& beside,
                                    std::size_t pocket) {
  std::vector<std::size_t> gas;
  for (std::size_t i = 0; i < state.air.pocket.size(); ++i)
    if (state.air.pocket.vector()[i] == static_cast<double>(pocket)) gas.push_back(i);
  if (gas.empty()) gas.push_back(static_cast<std::size_t>(state.air.pockets.node[pocket]));
  std::vector<std::size_t> melt;
  for (const std::size_t i : gas)
    for (const std::size_t j : beside[i])
      if (j != i && state.arrival.vector()[j] >= 0.0 && state.fill.vector()[j] >= 1.0)
        melt.push_back(j);
  std::sort(melt.begin(), melt.end());
  melt.erase(std::unique(melt.begin(), melt.end()), melt.end());
  return melt;
}

/// The way of the melt within a part.
struct Way {
  std::size_t entry = 0;  ///< where it entered
  double length = 0.0;    ///< [m]
  double thickest = 0.0;  ///< wall [m]
};

Way way_to(const Model& model, const State& state, const NodeWalls& walls, std::size_t node) {
  Way way{node, 0.0, walls.wall[node]};
  for (std::size_t hops = 0; state.front.origin[way.entry] >= 0.0 && hops < model.n_nodes();
       ++hops) {
    const auto from = static_cast<std::size_t>(state.front.origin[way.entry]);
    if (walls.region[from] != walls.region[node]) break;
    const Point3 &p = model.position.vector()[way.entry], &q = model.position.vector()[from];
    way.length += std::hypot(p.x - q.x, p.y - q.y);
    way.thickest = std::max(way.thickest, walls.wall[from]);
    way.entry = from;
  }
  return way;
}

std::string gate_at(const Model& model, std::size_t node) {
  for (const LineElement& e : model.lines.span()) {
    if (index(e.from) != node && index(e.to) != node) continue;
    const Channel& channel = model.channels[static_cast<std::size_t>(e.channel)];
    if (channel.role == Role::gate) return channel.name;
  }
  return "";
}

}  // namespace

TrapCause trap_cause(const Setup& setup, const State& state, std::size_t pocket, double to_edge) {
  const NodeWalls w = node_walls(setup.model);
  TrapCause cause;
  cause.wall = w.wall[static_cast<std::size_t>(state.air.pockets.node[pocket])];
  std::vector<Way> ways;
  for (const std::size_t node : around_air(state, nodes_beside(setup.model), pocket))
    ways.push_back(way_to(setup.model, state, w, node));
  if (ways.empty()) return cause;
  std::stable_sort(ways.begin(), ways.end(),
                   [](const Way& a, const Way& b) { return a.length < b.length; });
  for (const Way& way : ways) {
    const std::string gate = gate_at(setup.model, way.entry);
    if (!gate.empty() &&
        std::find(cause.gates.begin(), cause.gates.end(), gate) == cause.gates.end())
      cause.gates.push_back(gate);
  }
  cause.shortest = ways.front().length;
  cause.longest = ways.back().length;
  cause.around = ways.back().thickest;
  if (cause.gates.size() < 2 && cause.wall < even * cause.around && cause.longest > to_edge) {
    const double share = (cause.shortest + to_edge) / (cause.longest - to_edge);
    if (share < 1.0) cause.wall_needed = std::max(cause.wall, share * cause.around);
  }
  return cause;
}

std::string trap_words(const TrapCause& cause) {
  char text[400];
  if (cause.wall < even * cause.around) {
    std::snprintf(text, sizeof text,
                  "the melt races through %.2f mm around its wall of %.2f mm: even these out",
                  cause.around / mm, cause.wall / mm);
    std::string words = text;
    if (cause.wall_needed) {
      std::snprintf(
          text, sizeof text,
          "; with about %.1f mm there, or %.1f mm around it, the melt would drive the air "
          "to the edge (estimate)",
          *cause.wall_needed / mm, cause.around * cause.wall / *cause.wall_needed / mm);
      words += text;
    }
    return words;
  }
  if (cause.gates.size() > 1) {
    std::snprintf(text, sizeof text,
                  "melt from gates %s and %s closes around it: a smaller gate %s, or none (closed "
                  "for a trial), moves it",
                  cause.gates.front().c_str(), cause.gates.back().c_str(),
                  cause.gates.back().c_str());
    return text;
  }
  return "the melt parts and closes again before it: move " +
         (cause.gates.empty() ? std::string("the injection") : "gate " + cause.gates.front()) +
         " so that the air is driven to an edge";
}

}  // namespace firstshot
