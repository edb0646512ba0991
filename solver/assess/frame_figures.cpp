#include "solver/assess/frame_figures.hpp"

#include <algorithm>
#include <array>
#include <limits>

#include "solver/assess/side_weights.hpp"

namespace firstshot {
namespace {

void add_triangles(const Model& model, std::vector<PartFigures>& by_region) {
  const TriMesh& mesh = model.mesh;
  for (PartFigures& p : by_region) p.thickness_min = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    const auto& [ia, ib, ic] = mesh.triangles[t];
    const Point a = mesh.points[ia], b = mesh.points[ib], c = mesh.points[ic];
    const double h = model.thickness[t], plan = area(mesh, t), volume = lifted_area(mesh, t) * h;
    PartFigures& p = by_region[static_cast<std::size_t>(mesh.region[t])];
    p.volume += volume;
    p.area += plan;
    p.thickness_min = std::min(p.thickness_min, h);
    p.thickness_max = std::max(p.thickness_max, h);
    p.centre.x += volume * (a.x + b.x + c.x) / 3.0;
    p.centre.y += volume * (a.y + b.y + c.y) / 3.0;
  }
  for (PartFigures& p : by_region) {
    if (p.volume <= 0.0) continue;
    p.centre.x /= p.volume;
    p.centre.y /= p.volume;
  }
}

std::vector<ChannelFigures> channel_figures(const Model& model) {
  std::vector<ChannelFigures> channels;
  for (const Channel& c : model.channels) {
    ChannelFigures f;
    f.name = c.name;
    f.role = c.role;
    if (c.feeds >= 0) f.feeds = model.regions[static_cast<std::size_t>(c.feeds)].name;
    channels.push_back(f);
  }
  std::vector<bool> begun(channels.size(), false);
  for (const LineElement& e : model.lines.span()) {
    const auto k = static_cast<std::size_t>(e.channel);
    if (!begun[k]) channels[k].start = e.start;
    begun[k] = true;
    channels[k].end = e.end;
    channels[k].length += e.length;
    channels[k].volume += volume(e);
  }
  return channels;
}

/// Sides of triangles whose two ends share the node where a gate ends: its mouth. Of a gate between
/// triangles the mouth with fewer.
void count_mouths(const Model& model, std::vector<ChannelFigures>& channels) {
  std::vector<int> across(model.n_nodes(), 0);
  for (const MeshEdge& edge : mesh_edges(model.mesh)) {
    const NodeId a = model.node_of_vertex[edge.a];
    if (a == model.node_of_vertex[edge.b]) ++across[index(a)];
  }
  for (const LineElement& e : model.lines.span()) {
    ChannelFigures& channel = channels[static_cast<std::size_t>(e.channel)];
    if (channel.role != Role::gate) continue;
    for (const NodeId n : {e.from, e.to}) {
      const int here = across[index(n)];
      if (here == 0) continue;
      int& least = channel.elements_across;
      least = least == 0 ? here : std::min(least, here);
    }
  }
}

}  // namespace

double share_below(const Point& a, const Point& b, const Point& c, double x0) {
  std::array<Point, 3> p = {a, b, c};
  std::sort(p.begin(), p.end(), [](const Point& u, const Point& v) { return u.x < v.x; });
  const double span = p[2].x - p[0].x;
  if (x0 <= p[0].x || span <= 0.0) return p[0].x < x0 ? 1.0 : 0.0;
  if (x0 >= p[2].x) return 1.0;
  // The width across grows linearly from the leftmost corner to the middle one, then falls to the
  // rightmost.
  if (x0 <= p[1].x) return (x0 - p[0].x) * (x0 - p[0].x) / (span * (p[1].x - p[0].x));
  return 1.0 - (p[2].x - x0) * (p[2].x - x0) / (span * (p[2].x - p[1].x));
}

FrameFigures frame_figures(const Model& model, double density) {
  FrameFigures f;
  std::vector<PartFigures> by_region(model.regions.size());
  add_triangles(model, by_region);
  f.channels = channel_figures(model);
  count_mouths(model, f.channels);

  double parts = 0.0;
  for (std::size_t r = 0; r < by_region.size(); ++r) {
    PartFigures& p = by_region[r];
    p.name = model.regions[r].name;
    p.mass = p.volume * density;
    f.volume += p.volume;
    if (model.regions[r].role != Role::part) continue;
    parts += p.volume;
    f.parts.push_back(p);
  }
  for (const LineElement& e : model.lines.span()) f.volume += volume(e);
  f.mass = f.volume * density;
  f.runner_share = f.volume > 0.0 ? 1.0 - parts / f.volume : 0.0;
  f.projected_area = projected_area(model);
  const SideWeights sides = side_weights(model, NodeField<double>(model.n_nodes(), density));
  f.mass_left = sides.left;
  f.mass_right = sides.right;
  f.mass_bottom = sides.bottom;
  f.mass_top = sides.top;
  f.mesh = quality(model.mesh);
  return f;
}

}  // namespace firstshot
