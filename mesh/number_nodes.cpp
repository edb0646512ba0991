#include "mesh/number_nodes.hpp"

#include <algorithm>

#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Numbers nodes of the triangles: in the order of the vertices, all of one mouth the same. Returns
/// the node of each mouth.
std::vector<NodeId> number_vertices(const std::vector<Mouth>& mouths, Model& model) {
  const std::size_t n = model.mesh.points.size();
  std::vector<std::int32_t> same_as(n);
  for (std::size_t i = 0; i < n; ++i) same_as[i] = static_cast<std::int32_t>(i);
  const auto root = [&](std::int32_t v) {
    while (same_as[v] != v) v = same_as[v] = same_as[same_as[v]];
    return v;
  };
  std::vector<VertexId> first_of_mouth;
  for (const Mouth& mouth : mouths) {
    const std::vector<VertexId> vertices = vertices_in(mouth, model.mesh);
    if (vertices.empty()) {
      throw GeometryError("a mouth lies beside the area that it feeds", mouth.centre.x,
                          mouth.centre.y);
    }
    first_of_mouth.push_back(vertices[0]);
    for (const VertexId v : vertices) {
      const std::int32_t a = root(static_cast<std::int32_t>(vertices[0]));
      const std::int32_t b = root(static_cast<std::int32_t>(v));
      same_as[std::max(a, b)] = std::min(a, b);
    }
  }
  model.node_of_vertex = VertexField<NodeId>(n);
  for (std::size_t i = 0; i < n; ++i) {
    const VertexId v = make_id<VertexId>(i);
    const std::int32_t first = root(static_cast<std::int32_t>(i));
    if (first == static_cast<std::int32_t>(i)) {
      model.node_of_vertex[v] = make_id<NodeId>(model.position.size());
      model.position.push_back({model.mesh.points[v].x, model.mesh.points[v].y, 0.0});
    } else {
      model.node_of_vertex[v] = model.node_of_vertex[VertexId{first}];
    }
  }
  std::vector<NodeId> node_of_mouth;
  for (std::size_t m = 0; m < mouths.size(); ++m) {
    const NodeId node = model.node_of_vertex[first_of_mouth[m]];
    model.position[node] = {mouths[m].centre.x, mouths[m].centre.y, 0.0};
    node_of_mouth.push_back(node);
  }
  return node_of_mouth;
}

void add_network(const RunnerNetwork& network, const std::vector<NodeId>& node_of_mouth,
                 Model& model) {
  std::vector<NodeId> node_of_point;
  for (const NetworkPoint& point : network.points) {
    if (point.mouth >= 0) {
      node_of_point.push_back(node_of_mouth[point.mouth]);
      continue;
    }
    node_of_point.push_back(make_id<NodeId>(model.position.size()));
    model.position.push_back(point.at);
  }
  model.channels = network.channels;
  for (const NetworkElement& e : network.elements) {
    model.lines.push_back({node_of_point[e.from], node_of_point[e.to], e.length, e.start, e.end,
                           static_cast<std::int32_t>(e.channel), 0.0});
  }
  model.injection = node_of_point[network.inlet];
}

/// Sides of triangles on the rim, within a mouth: the melt passes there.
void find_open_sides(const std::vector<Mouth>& mouths, Model& model) {
  for (const MeshEdge& edge : mesh_edges(model.mesh)) {
    if (edge.right != TriId{-1} || model.node_of_vertex[edge.a] != model.node_of_vertex[edge.b]) {
      continue;
    }
    const Point middle = between(model.mesh.points[edge.a], model.mesh.points[edge.b], 0.5);
    for (const Mouth& mouth : mouths) {
      if (!lies_on_stretch(mouth, middle)) continue;
      model.open_sides.push_back({edge.a, edge.b});
      break;
    }
  }
}

}  // namespace

void number_nodes(const std::vector<Mouth>& mouths, const RunnerNetwork& network, Model& model) {
  const std::vector<NodeId> node_of_mouth = number_vertices(mouths, model);
  add_network(network, node_of_mouth, model);
  find_open_sides(mouths, model);
}

}  // namespace firstshot
