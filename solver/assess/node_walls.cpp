#include "solver/assess/node_walls.hpp"

namespace firstshot {

NodeWalls node_walls(const Model& model) {
  NodeWalls at{std::vector<double>(model.n_nodes(), 0.0),
               std::vector<std::int32_t>(model.n_nodes(), -1)};
  std::vector<double> weight(model.n_nodes(), 0.0);
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    const double a = area(model.mesh, t);
    for (const VertexId v : model.mesh.triangles[t]) {
      const std::size_t node = index(model.node_of_vertex[v]);
      at.wall[node] += a * model.thickness[t];
      weight[node] += a;
      at.region[node] = model.mesh.region[t];
    }
  }
  for (std::size_t i = 0; i < weight.size(); ++i)
    if (weight[i] > 0.0) at.wall[i] /= weight[i];
  return at;
}

}  // namespace firstshot
