#include "tests/verify/sample_models.hpp"

#include <cmath>

namespace firstshot::sample {
namespace {

/// One node per vertex, except that the vertices of the mouth share node 0.
void number_nodes(Model& m, const std::vector<bool>& mouth) {
  m.node_of_vertex = VertexField<NodeId>(m.mesh.points.size());
  m.position.push_back({0.0, 0.0, 0.0});
  for (std::size_t v = 0; v < m.mesh.points.size(); ++v) {
    const auto id = make_id<VertexId>(v);
    if (mouth[v]) {
      m.node_of_vertex[id] = NodeId{0};
      continue;
    }
    m.node_of_vertex[id] = make_id<NodeId>(m.position.size());
    m.position.push_back({m.mesh.points[id].x, m.mesh.points[id].y, 0.0});
  }
  m.injection = NodeId{0};
}

void finish(Model& m, double thickness, bool open) {
  m.mesh.region = TriField<std::int32_t>(m.mesh.triangles.size(), 0);
  m.thickness = TriField<double>(m.mesh.triangles.size(), thickness);
  m.regions.push_back({"plate", Role::part, false});
  if (!open) return;
  for (const MeshEdge& e : mesh_edges(m.mesh))
    if (static_cast<int>(e.right) < 0) m.open_sides.push_back({e.a, e.b});
}

void add_quad(Model& m, const std::array<VertexId, 4>& q, bool turned) {
  if (turned) {
    m.mesh.triangles.push_back({q[0], q[1], q[3]});
    m.mesh.triangles.push_back({q[1], q[2], q[3]});
  } else {
    m.mesh.triangles.push_back({q[0], q[1], q[2]});
    m.mesh.triangles.push_back({q[0], q[2], q[3]});
  }
}

void add_leg(Model& m, NodeId from, const Section& section, double length, int n) {
  for (int k = 0; k < n; ++k) {
    const auto to = make_id<NodeId>(m.position.size());
    const Point3 at = m.position[from];
    m.position.push_back({at.x + length / n, at.y, 0.0});
    m.lines.push_back({from, to, length / n, section, section,
                       static_cast<std::int32_t>(m.channels.size()), 0.0});
    from = to;
  }
  m.channels.push_back({"leg-" + std::to_string(m.channels.size()), Role::runner, -1});
}

}  // namespace

Model strip(double length, double width, double thickness, int nx, int ny, bool slip) {
  Model m;
  std::vector<bool> mouth;
  for (int i = 0; i <= nx; ++i)
    for (int j = 0; j <= ny; ++j) {
      m.mesh.points.push_back({length * i / nx, width * j / ny});
      mouth.push_back(i == 0);
    }
  const auto at = [&](int i, int j) { return static_cast<VertexId>(i * (ny + 1) + j); };
  for (int i = 0; i < nx; ++i)
    for (int j = 0; j < ny; ++j)
      add_quad(m, {at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)}, (i + j) % 2 == 1);
  number_nodes(m, mouth);
  finish(m, thickness, slip);
  if (!slip)
    for (int j = 0; j < ny; ++j) {
      m.open_sides.push_back({at(0, j), at(0, j + 1)});
      m.open_sides.push_back({at(nx, j), at(nx, j + 1)});
    }
  return m;
}

Model sector(double r0, double radius, double thickness, int rings, double angle) {
  constexpr int cells = 8;
  Model m = strip(radius - r0, angle, thickness, rings, cells);
  const auto bent = [r0](double along, double around) {
    return Point{(r0 + along) * std::cos(around), (r0 + along) * std::sin(around)};
  };
  for (Point& p : m.mesh.points.span()) p = bent(p.x, p.y);
  for (Point3& p : m.position.span()) {
    const Point q = bent(p.x, p.y);
    p = {q.x, q.y, p.z};
  }
  return m;
}

Model channel(const Section& section, double length, int n) {
  Model m;
  m.position.push_back({});
  m.injection = NodeId{0};
  add_leg(m, NodeId{0}, section, length, n);
  return m;
}

Model runner_tree(const std::vector<double>& diameter, const std::vector<double>& length, int n) {
  Model m = channel(RoundSection{diameter[0]}, length[0], n);
  const auto fork = static_cast<NodeId>(n);
  add_leg(m, fork, RoundSection{diameter[1]}, length[1], n);
  add_leg(m, fork, RoundSection{diameter[2]}, length[2], n);
  return m;
}

Setup isothermal_fill(Model model, const ViscosityLaw& law, double flow, int volume_steps) {
  Setup s;
  s.model = std::move(model);
  s.material.viscosity = law;
  s.material.heat_capacity = {{293.15}, {2000.0}};
  s.process.speed = {{0.0, flow}};
  s.process.barrel_compressible = false;
  s.process.entrance_length = 0.0;
  s.process.switch_over = {SwitchOverKind::volume, 1.0};
  s.accuracy.volume_steps = volume_steps;
  s.accuracy.tolerance = 1e-6;
  s.isothermal = true;
  return s;
}

}  // namespace firstshot::sample
