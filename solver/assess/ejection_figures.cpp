#include "solver/assess/ejection_figures.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include "mesh/rim.hpp"

namespace firstshot {
namespace {

double turn(const Point& a, const Point& b, const Point& p) {
  return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

double distance_to_segment(const Point3& a, const Point3& b, const Point& p) {
  const double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
  const double s =
      length2 > 0.0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length2, 0.0, 1.0) : 0.0;
  return std::hypot(p.x - a.x - s * dx, p.y - a.y - s * dy);
}

void find_place(const Model& model, PinPlace& pin) {
  const TriMesh& mesh = model.mesh;
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto& [a, b, c] = mesh.triangles[id];
    const Point pa = mesh.points[a], pb = mesh.points[b], pc = mesh.points[c];
    if (turn(pa, pb, pin.at) < 0.0 || turn(pb, pc, pin.at) < 0.0 || turn(pc, pa, pin.at) < 0.0)
      continue;
    const Region& region = model.regions[static_cast<std::size_t>(mesh.region[id])];
    pin.stands_on = region.name;
    pin.on_visible = region.visible && region.role == Role::part;
    pin.wall = model.thickness[id];
    return;
  }
  for (const LineElement& line : model.lines.span()) {
    const double d =
        distance_to_segment(model.position[line.from], model.position[line.to], pin.at);
    if (d > 0.5 * std::max(width(line.start), width(line.end))) continue;
    pin.stands_on = model.channels[static_cast<std::size_t>(line.channel)].name;
    return;
  }
}

/// Region and thickness at each vertex; any of its triangles.
struct AtVertex {
  std::int32_t region = -1;
  double thickness = 0.0;
};

VertexField<AtVertex> at_vertices(const Model& model) {
  VertexField<AtVertex> at_vertex(model.mesh.points.size());
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    for (const VertexId v : model.mesh.triangles[id])
      at_vertex[v] = {model.mesh.region[id], model.thickness[id]};
  }
  return at_vertex;
}

std::vector<double> plan_areas(const Model& model) {
  std::vector<double> areas(model.regions.size(), 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    areas[static_cast<std::size_t>(model.mesh.region[id])] += area(model.mesh, id);
  }
  return areas;
}

/// Parts with openings, by region.
std::map<std::int32_t, PartGrip> grips_of_openings(const Model& model) {
  const VertexField<AtVertex> at_vertex = at_vertices(model);
  std::map<std::int32_t, PartGrip> grips;
  std::map<std::int32_t, double> longest, steel;  // [m], [m²]
  for (const RimLoop& loop : rim_loops(model)) {
    if (loop.outer || loop.vertices.empty()) continue;
    const std::int32_t region = at_vertex[loop.vertices.front()].region;
    if (region < 0 || model.regions[static_cast<std::size_t>(region)].role != Role::part) continue;
    PartGrip& grip = grips[region];
    grip.part = model.regions[static_cast<std::size_t>(region)].name;
    Point middle;
    for (std::size_t k = 0; k < loop.vertices.size(); ++k) {
      grip.grip += (loop.at[k + 1] - loop.at[k]) * at_vertex[loop.vertices[k]].thickness;
      const Point& p = model.mesh.points[loop.vertices[k]];
      middle.x += p.x / static_cast<double>(loop.vertices.size());
      middle.y += p.y / static_cast<double>(loop.vertices.size());
    }
    // A round of the same length of rim.
    steel[region] += loop.length() * loop.length() / (4.0 * std::numbers::pi);
    if (loop.length() > longest[region]) {
      longest[region] = loop.length();
      grip.at = middle;
    }
  }
  const std::vector<double> plastic = plan_areas(model);
  for (auto& [region, grip] : grips) {
    grip.walls[0] = grip.grip;
    grip.ring = steel[region] / plastic[static_cast<std::size_t>(region)];
  }
  return grips;
}

/// Of a solid the measured walls count, also those of blind pockets.
void take_measured(const Setup& setup, std::map<std::int32_t, PartGrip>& grips) {
  if (setup.walls.empty()) return;
  for (auto& [region, grip] : grips) {
    grip.walls = {};
    grip.grip = 0.0;
  }
  for (const SideWalls& walls : setup.walls) {
    if (!(walls.core_area() > 0.0)) continue;
    const auto& regions = setup.model.regions;
    const auto it = std::find_if(regions.begin(), regions.end(),
                                 [&](const Region& r) { return r.name == walls.part; });
    if (it == regions.end()) continue;
    const auto [entry, is_new] = grips.try_emplace(static_cast<std::int32_t>(it - regions.begin()));
    PartGrip& grip = entry->second;
    grip.part = walls.part;
    grip.walls = walls.core;
    grip.grip = walls.core_area();
    if (is_new) grip.at = {walls.at.x, walls.at.y};
  }
  std::erase_if(grips, [](const auto& entry) { return !(entry.second.grip > 0.0); });
}

}  // namespace

EjectionFigures ejection_figures(const Setup& setup) {
  EjectionFigures out;
  for (const EjectorPin& e : setup.ejectors) {
    PinPlace pin;
    pin.name = e.name;
    pin.at = e.at;
    pin.diameter = e.diameter;
    find_place(setup.model, pin);
    out.pins.push_back(pin);
  }
  std::map<std::int32_t, PartGrip> grips = grips_of_openings(setup.model);
  take_measured(setup, grips);
  for (auto& [region, grip] : grips) {
    for (const PinPlace& pin : out.pins) {
      const double d = std::hypot(pin.at.x - grip.at.x, pin.at.y - grip.at.y);
      if (grip.nearest_pin < 0.0 || d < grip.nearest_pin) grip.nearest_pin = d;
    }
    out.parts.push_back(grip);
  }
  std::stable_sort(out.parts.begin(), out.parts.end(),
                   [](const PartGrip& a, const PartGrip& b) { return a.grip > b.grip; });
  return out;
}

}  // namespace firstshot
