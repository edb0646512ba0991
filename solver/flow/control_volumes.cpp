#include "solver/flow/control_volumes.hpp"

#include <algorithm>
#include <numeric>

#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

std::int32_t node_index(const Model& model, VertexId v) {
  return static_cast<std::int32_t>(model.node_of_vertex[v]);
}

/// (cot of the corner opposite to side a-b)/2 of triangle t.
double half_cotangent(const TriMesh& mesh, TriId t, VertexId a, VertexId b) {
  const auto cots = lifted_cotangents(mesh, t);
  const Triangle& tri = mesh.triangles[t];
  for (std::size_t k = 0; k < 3; ++k)
    if (tri[k] != a && tri[k] != b) return 0.5 * cots[k];
  return 0.0;
}

/// A flow between two nodes before equal pairs are put together.
struct RawFlow {
  NodePair pair;
  MeshFlow flow;
  std::int32_t line = -1;
};

std::vector<RawFlow> raw_mesh_flows(const Model& model, double& clamped) {
  std::vector<RawFlow> raw;
  double total = 0.0;
  double negative = 0.0;
  for (const MeshEdge& e : mesh_edges(model.mesh)) {
    const std::int32_t a = node_index(model, e.a);
    const std::int32_t b = node_index(model, e.b);
    if (a == b) continue;  // inside a mouth
    double weight = half_cotangent(model.mesh, e.left, e.a, e.b);
    if (static_cast<std::int32_t>(e.right) >= 0)
      weight += half_cotangent(model.mesh, e.right, e.a, e.b);
    total += std::max(weight, 0.0);
    negative += std::max(-weight, 0.0);
    MeshFlow flow;
    flow.weight = std::max(weight, 0.0);
    flow.left = static_cast<std::int32_t>(e.left);
    flow.right = static_cast<std::int32_t>(e.right);
    raw.push_back({{std::min(a, b), std::max(a, b)}, flow, -1});
  }
  clamped = total > 0.0 ? negative / total : 0.0;
  return raw;
}

void merge_flows(std::vector<RawFlow> raw, std::size_t n_lines, ControlVolumes& v) {
  std::stable_sort(raw.begin(), raw.end(),
                   [](const RawFlow& l, const RawFlow& r) { return l.pair < r.pair; });
  v.line_edge.assign(n_lines, -1);
  for (const RawFlow& r : raw) {
    if (v.edges.empty() || v.edges.back() != r.pair || r.line >= 0 || v.edge_line.back() >= 0) {
      v.edges.push_back(r.pair);
      v.edge_line.push_back(r.line);
      v.mesh_flow_start.push_back(static_cast<std::int32_t>(v.mesh_flows.size()));
    }
    const auto edge = static_cast<std::int32_t>(v.edges.size() - 1);
    if (r.line >= 0) {
      v.line_edge[static_cast<std::size_t>(r.line)] = edge;
    } else {
      v.mesh_flows.push_back(r.flow);
      v.mesh_flows.back().edge = edge;
    }
  }
  v.mesh_flow_start.push_back(static_cast<std::int32_t>(v.mesh_flows.size()));
}

void list_neighbours(std::size_t n_nodes, ControlVolumes& v) {
  v.neighbour_start.assign(n_nodes + 1, 0);
  for (const auto& e : v.edges) {
    ++v.neighbour_start[e[0] + 1];
    ++v.neighbour_start[e[1] + 1];
  }
  std::partial_sum(v.neighbour_start.begin(), v.neighbour_start.end(), v.neighbour_start.begin());
  v.neighbours.resize(2 * v.edges.size());
  std::vector<std::int32_t> next(v.neighbour_start.begin(), v.neighbour_start.end() - 1);
  for (std::size_t k = 0; k < v.edges.size(); ++k) {
    const auto edge = static_cast<std::int32_t>(k);
    v.neighbours[next[v.edges[k][0]]++] = {v.edges[k][1], edge, 1.0};
    v.neighbours[next[v.edges[k][1]]++] = {v.edges[k][0], edge, -1.0};
  }
}

/// Volumes and gaps: a slit column wherever triangles meet, a round one on channels.
void add_volumes(const Model& model, std::span<const double> thermal_radius,
                 const TriangleSlabs& slabs, ControlVolumes& v) {
  const std::size_t n = model.n_nodes();
  std::vector<double> plan(n, 0.0), slit(n, 0.0), gap(n, 0.0), round(n, 0.0), radius(n, 0.0);
  v.contact.assign(n, 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c) {
      const auto i = static_cast<std::size_t>(node_index(model, model.mesh.triangles[id][c]));
      plan[i] += areas[c];
      slit[i] += areas[c] * model.thickness[id];
      gap[i] += areas[c] * (slabs.gap.empty() ? model.thickness[id] : slabs.gap[t]);
      v.contact[i] += areas[c] * (slabs.contact.empty() ? 1.0 : slabs.contact[t]);
    }
  }
  for (std::size_t k = 0; k < model.lines.size(); ++k) {
    const LineElement& line = model.lines[make_id<LineId>(k)];
    const double half = 0.5 * firstshot::volume(line);
    for (NodeId end : {line.from, line.to}) {
      round[index(end)] += half;
      radius[index(end)] += half * thermal_radius[k];
    }
  }
  v.volume.resize(n);
  v.half_gap.resize(n);
  v.round.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    v.volume[i] = slit[i] + round[i];
    v.round[i] = plan[i] > 0.0 ? 0 : 1;
    v.half_gap[i] = plan[i] > 0.0 ? 0.5 * gap[i] / plan[i] : radius[i] / round[i];
    v.contact[i] = plan[i] > 0.0 ? v.contact[i] / plan[i] : 1.0;
  }
}

}  // namespace

ControlVolumes control_volumes(const Model& model, std::span<const double> thermal_radius,
                               const TriangleSlabs& slabs) {
  ControlVolumes v;
  std::vector<RawFlow> raw = raw_mesh_flows(model, v.clamped_weight);
  for (std::size_t k = 0; k < model.lines.size(); ++k) {
    const LineElement& line = model.lines[make_id<LineId>(k)];
    const auto a = static_cast<std::int32_t>(line.from);
    const auto b = static_cast<std::int32_t>(line.to);
    raw.push_back({{std::min(a, b), std::max(a, b)}, {}, static_cast<std::int32_t>(k)});
  }
  merge_flows(std::move(raw), model.lines.size(), v);
  list_neighbours(model.n_nodes(), v);
  add_volumes(model, thermal_radius, slabs, v);
  return v;
}

void edge_conductance(const ControlVolumes& volumes, std::span<const double> fluidity,
                      std::span<const double> line_conductance, std::span<double> conductance) {
  parallel_for(volumes.edges.size(), [&](std::size_t e) {
    double sum = volumes.edge_line[e] >= 0 ? line_conductance[volumes.edge_line[e]] : 0.0;
    for (std::int32_t k = volumes.mesh_flow_start[e]; k < volumes.mesh_flow_start[e + 1]; ++k) {
      const MeshFlow& m = volumes.mesh_flows[k];
      const double s =
          m.right >= 0 ? 0.5 * (fluidity[m.left] + fluidity[m.right]) : fluidity[m.left];
      sum += m.weight * s;
    }
    conductance[e] = sum;
  });
}

HatGradients hat_gradients(const TriMesh& mesh, TriId t) {
  const Triangle& tri = mesh.triangles[t];
  const double twice = 2.0 * area(mesh, t);
  HatGradients g{};
  for (std::size_t k = 0; k < 3; ++k) {
    const Point& b = mesh.points[tri[(k + 1) % 3]];
    const Point& c = mesh.points[tri[(k + 2) % 3]];
    g.x[k] = (b.y - c.y) / twice;
    g.y[k] = (c.x - b.x) / twice;
  }
  return g;
}

}  // namespace firstshot
