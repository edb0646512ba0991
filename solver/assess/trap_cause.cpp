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

/// Nodes with melt beside the air of a pocket: beside what is left of it, else around its last
/// node.
std::vector<std::size_t> around_air(const Model& model, const State& state, std::size_t pocket) {
  const std::vector<double>& held_by = state.air.pocket.vector();
  const auto number = static_cast<double>(pocket);
  const bool is_left = std::find(held_by.begin(), held_by.end(), number) != held_by.end();
  const auto last = static_cast<std::size_t>(state.air.pockets.node[pocket]);
  const auto is_air = [&](std::size_t i) { return is_left ? held_by[i] == number : i == last; };
  std::vector<std::size_t> melt;
  for (const auto& triangle : model.mesh.triangles.span())
    for (const VertexId v : triangle) {
      const std::size_t i = index(model.node_of_vertex[v]);
      if (!is_air(i)) continue;
      for (const VertexId other : triangle) {
        const std::size_t j = index(model.node_of_vertex[other]);
        if (j != i && state.arrival.vector()[j] >= 0.0 && state.fill.vector()[j] >= 1.0)
          melt.push_back(j);
      }
    }
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
  for (const std::size_t node : around_air(setup.model, state, pocket))
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
