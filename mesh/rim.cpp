#include "mesh/rim.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace firstshot {

std::vector<RimLoop> rim_loops(const TriMesh& mesh) {
  std::multimap<VertexId, VertexId> next;
  for (const MeshEdge& e : mesh_edges(mesh))
    if (static_cast<std::int32_t>(e.right) < 0) next.emplace(e.a, e.b);
  std::vector<RimLoop> loops;
  while (!next.empty()) {
    RimLoop loop;
    const VertexId first = next.begin()->first;
    double turned = 0.0;  // twice the area inside
    loop.at.push_back(0.0);
    for (VertexId v = first;;) {
      const auto side = next.find(v);
      if (side == next.end()) break;  // cannot happen on a closed rim
      const VertexId w = side->second;
      next.erase(side);
      const Point& p = mesh.points[v];
      const Point& q = mesh.points[w];
      loop.vertices.push_back(v);
      loop.at.push_back(loop.at.back() + std::hypot(q.x - p.x, q.y - p.y));
      turned += p.x * q.y - q.x * p.y;
      v = w;
      if (v == first) break;
    }
    loop.outer = turned > 0.0;
    loops.push_back(std::move(loop));
  }
  return loops;
}

std::vector<RimLoop> rim_loops(const Model& model) {
  constexpr std::int32_t none = -1, several = -2;
  std::vector<RimLoop> loops = rim_loops(model.mesh);
  std::map<VertexId, std::size_t> loop_from;  // a rim's side by its first vertex
  for (std::size_t l = 0; l < loops.size(); ++l)
    for (const VertexId v : loops[l].vertices) loop_from.emplace(v, l);
  std::vector<std::int32_t> region(loops.size(), none);
  for (const MeshEdge& e : mesh_edges(model.mesh)) {
    if (static_cast<std::int32_t>(e.right) >= 0) continue;
    std::int32_t& known = region[loop_from.at(e.a)];
    const std::int32_t here = model.mesh.region[e.left];
    if (known == none) known = here;
    const bool part = model.regions.empty() || model.regions[here].role == Role::part;
    if (known != here || !part) known = several;
  }
  for (std::size_t l = 0; l < loops.size(); ++l)
    if (region[l] == several) loops[l].outer = true;
  return loops;
}

std::optional<RimPlace> nearest_rim(const TriMesh& mesh, const std::vector<RimLoop>& loops,
                                    const Point& point) {
  std::optional<RimPlace> best;
  for (std::size_t l = 0; l < loops.size(); ++l) {
    const RimLoop& loop = loops[l];
    for (std::size_t k = 0; k < loop.vertices.size(); ++k) {
      const Point& p = mesh.points[loop.vertices[k]];
      const Point& q = mesh.points[loop.vertices[(k + 1) % loop.vertices.size()]];
      const double dx = q.x - p.x, dy = q.y - p.y;
      const double square = dx * dx + dy * dy;
      const double share =
          square > 0.0
              ? std::clamp(((point.x - p.x) * dx + (point.y - p.y) * dy) / square, 0.0, 1.0)
              : 0.0;
      const double distance = std::hypot(point.x - p.x - share * dx, point.y - p.y - share * dy);
      if (!best || distance < best->distance)
        best = {l, loop.at[k] + share * (loop.at[k + 1] - loop.at[k]), distance};
    }
  }
  return best;
}

}  // namespace firstshot
