#include "tests/mesh/layouts.hpp"

#include "mesh/error.hpp"
#include "mesh/plane.hpp"
#include "tests/refusal.hpp"

namespace firstshot::test {

Area rectangle(const std::string& name, Point low, Point high, double thickness) {
  return polygon(name, {low, {high.x, low.y}, high, {low.x, high.y}}, thickness);
}

Area polygon(const std::string& name, const std::vector<Point>& corners, double thickness) {
  PolygonShape shape;
  for (const Point p : corners) shape.corners.push_back({p, 0.0});
  Area area;
  area.name = name;
  area.outline = shape;
  area.thickness = thickness;
  return area;
}

RunnerLine round_runner(const std::string& name, const std::vector<Point>& points,
                        double diameter) {
  return {name, points, RoundSection{diameter}, RoundSection{diameter}, ""};
}

GateLine gate(const std::string& name, Point from, Point to, double width, double depth) {
  return {name, from, to, width, depth, ""};
}

Layout fed_plate() {
  Layout layout;
  layout.areas = {rectangle("plate", {0, 0}, {30 * mm, 20 * mm}, 1 * mm)};
  layout.injection = {15 * mm, 10 * mm};
  layout.injection_diameter = 2 * mm;
  return layout;
}

Layout frame_of_one() {
  Layout layout;
  layout.areas = {rectangle("plate", {42 * mm, -10 * mm}, {72 * mm, 10 * mm}, 1 * mm)};
  layout.runners = {round_runner("main", {{0, 0}, {40 * mm, 0}}, 4 * mm)};
  layout.gates = {gate("g", {40 * mm, 0}, {42 * mm, 0}, 1 * mm, 0.6 * mm)};
  layout.sprue = Sprue{{0, 0}, 35 * mm, 3 * mm, 5 * mm, ""};
  return layout;
}

double meshed_area(const Model& model, int region) {
  double sum = 0.0;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    if (model.mesh.region[t] == region) sum += area(model.mesh, t);
  }
  return sum;
}

int triangles_across(const Model& model, Point a, Point b) {
  int count = 0;
  for (const Triangle& t : model.mesh.triangles.span()) {
    const Point p[3] = {model.mesh.points[t[0]], model.mesh.points[t[1]], model.mesh.points[t[2]]};
    int left = 0;
    Box box;
    for (const Point q : p) {
      left += cross(b - a, q - a) > 0.0 ? 1 : 0;
      box.add(q);
    }
    // Cut by the endless line through a and b, and beside the piece from a to b.
    const Point middle = (1.0 / 3.0) * (p[0] + p[1] + p[2]);
    const double share = dot(middle - a, b - a) / dot(b - a, b - a);
    if (left != 0 && left != 3 && share > 0.0 && share < 1.0) ++count;
  }
  return count;
}

std::string error_of(const Layout& layout, const MeshOptions& options) {
  return refusal_of([&] { build_model(layout, options); });
}

}  // namespace firstshot::test
