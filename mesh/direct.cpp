#include "mesh/direct.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <queue>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double unreached = std::numeric_limits<double>::infinity();
/// A section smaller than the one before by less than this share is the taper of one channel.
constexpr double same_area_share = 0.02;

struct Link {
  std::int32_t from, to;
  double length;
};

/// Length of an edge on the wall [m], where its two triangles differ the shorter.
double length_on_wall(const TriMesh& mesh, const MeshEdge& edge) {
  const Point way = mesh.points[edge.b] - mesh.points[edge.a];
  if (mesh.slope.empty()) return norm(way);
  double climb = std::abs(dot(way, mesh.slope[edge.left]));
  if (edge.right != TriId{-1}) climb = std::min(climb, std::abs(dot(way, mesh.slope[edge.right])));
  return std::hypot(norm(way), climb);
}

/// Both directions of every connection between two nodes, sorted by `from`.
std::vector<Link> links_of(const Model& model) {
  std::vector<Link> links;
  const auto add = [&](NodeId a, NodeId b, double length) {
    const auto i = static_cast<std::int32_t>(a);
    const auto j = static_cast<std::int32_t>(b);
    if (i == j) return;
    links.push_back({i, j, length});
    links.push_back({j, i, length});
  };
  for (const MeshEdge& edge : mesh_edges(model.mesh)) {
    add(model.node_of_vertex[edge.a], model.node_of_vertex[edge.b],
        length_on_wall(model.mesh, edge));
  }
  for (const LineElement& line : model.lines.span()) add(line.from, line.to, line.length);
  std::stable_sort(links.begin(), links.end(),
                   [](const Link& a, const Link& b) { return a.from < b.from; });
  return links;
}

std::string channel_entry(const Layout& layout, const std::string& name) {
  for (const RunnerLine& runner : layout.runners)
    if (runner.name == name) return entry_name(runner);
  for (const GateLine& gate : layout.gates)
    if (gate.name == name) return entry_name(gate);
  return entry_name(layout.sprue.value());
}

void require_all_reached(const Layout& layout, const Model& model, const NodeField<double>& way) {
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    const VertexId v = model.mesh.triangles[t][0];
    if (way[model.node_of_vertex[v]] < unreached) continue;
    throw GeometryError(entry_name(layout.areas[model.mesh.region[t]]) +
                            " is not reached from the injection; it needs a gate, or a border in "
                            "common with a piece that is reached",
                        model.mesh.points[v].x, model.mesh.points[v].y);
  }
  for (const LineElement& line : model.lines.span()) {
    if (way[line.from] < unreached) continue;
    const Channel& channel = model.channels[line.channel];
    throw GeometryError(channel_entry(layout, channel.name) +
                            " is not reached from the injection; it must join a channel that is",
                        model.position[line.from].x, model.position[line.from].y);
  }
}

void mark_narrowings(Model& model) {
  // Largest section that leads to each node; the triangles around a rim count as larger than any
  // channel.
  NodeField<double> upstream(model.n_nodes(), 0.0);
  for (const NodeId node : model.node_of_vertex.span()) upstream[node] = unreached;
  // The press stands before the injection node, not the area around it.
  upstream[model.injection] = 0.0;
  std::vector<bool> fed_by_line(model.n_nodes(), false);
  for (const LineElement& line : model.lines.span()) {
    double& largest = upstream[line.to];
    largest = fed_by_line[index(line.to)] ? std::max(largest, area(line.end)) : area(line.end);
    fed_by_line[index(line.to)] = true;
  }
  for (LineElement& line : model.lines.span()) {
    const double here = area(line.start);
    line.entrance_radius = here < (1.0 - same_area_share) * upstream[line.from]
                               ? 2.0 * here / perimeter(line.start)
                               : 0.0;
  }
}

}  // namespace

NodeField<double> flow_length(const Model& model) {
  const std::vector<Link> links = links_of(model);
  std::vector<std::size_t> first(model.n_nodes() + 1, 0);
  for (const Link& link : links) ++first[static_cast<std::size_t>(link.from) + 1];
  for (std::size_t i = 1; i < first.size(); ++i) first[i] += first[i - 1];

  NodeField<double> way(model.n_nodes(), unreached);
  using Entry = std::pair<double, std::int32_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  way[model.injection] = 0.0;
  queue.emplace(0.0, static_cast<std::int32_t>(model.injection));
  while (!queue.empty()) {
    const auto [length, node] = queue.top();
    queue.pop();
    if (length > way[NodeId{node}]) continue;
    for (std::size_t i = first[node]; i < first[static_cast<std::size_t>(node) + 1]; ++i) {
      double& other = way[NodeId{links[i].to}];
      const double through = length + links[i].length;
      if (through >= other) continue;
      other = through;
      queue.emplace(through, links[i].to);
    }
  }
  return way;
}

void direct_lines(const Layout& layout, Model& model) {
  const NodeField<double> way = flow_length(model);
  require_all_reached(layout, model, way);
  for (LineElement& line : model.lines.span()) {
    if (way[line.from] <= way[line.to]) continue;
    std::swap(line.from, line.to);
    std::swap(line.start, line.end);
  }
  mark_narrowings(model);
}

}  // namespace firstshot
