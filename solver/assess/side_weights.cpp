#include "solver/assess/side_weights.hpp"

#include <algorithm>
#include <cmath>

#include "solver/assess/frame_figures.hpp"

namespace firstshot {
namespace {

/// Share of a straight piece from u to v that lies below x0; half of one that stands on the line.
double share_of_piece_below(double u, double v, double x0) {
  if (u == v) return u < x0 ? 1.0 : (u > x0 ? 0.0 : 0.5);
  return std::clamp((x0 - std::min(u, v)) / std::abs(v - u), 0.0, 1.0);
}

}  // namespace

SideWeights side_weights(const Model& model, const NodeField<double>& density) {
  SideWeights w;
  const TriMesh& mesh = model.mesh;
  const Point3 centre = model.position[model.injection];
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    const auto areas = lifted_corner_areas(mesh, t);
    double mass = 0.0;
    for (std::size_t k = 0; k < 3; ++k)
      mass += areas[k] * model.thickness[t] * density[model.node_of_vertex[mesh.triangles[t][k]]];
    const auto& [ia, ib, ic] = mesh.triangles[t];
    const Point a = mesh.points[ia], b = mesh.points[ib], c = mesh.points[ic];
    w.all += mass;
    w.left += mass * share_below(a, b, c, centre.x);
    w.bottom += mass * share_below({a.y, a.x}, {b.y, b.x}, {c.y, c.x}, centre.y);
  }
  for (const LineElement& e : model.lines.span()) {
    const Point3 u = model.position[e.from], v = model.position[e.to];
    const double mass = 0.5 * volume(e) * (density[e.from] + density[e.to]);
    w.all += mass;
    w.left += mass * share_of_piece_below(u.x, v.x, centre.x);
    w.bottom += mass * share_of_piece_below(u.y, v.y, centre.y);
  }
  w.right = w.all - w.left;
  w.top = w.all - w.bottom;
  return w;
}

}  // namespace firstshot
