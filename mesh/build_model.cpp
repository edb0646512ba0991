#include "mesh/build_model.hpp"

#include <cmath>

#include "mesh/border_sizes.hpp"
#include "mesh/check_layout.hpp"
#include "mesh/direct.hpp"
#include "mesh/error.hpp"
#include "mesh/joints.hpp"
#include "mesh/number_nodes.hpp"
#include "mesh/pieces.hpp"
#include "mesh/runner_network.hpp"
#include "mesh/triangulate.hpp"

namespace firstshot {
namespace {

/// Polygons keep to arcs within this distance [m], or within this share of the element size when
/// that is less: half the finest step of common cutters.
constexpr double arc_deviation = 0.02e-3;
constexpr double arc_deviation_share = 1.0 / 60.0;

/// More elements across anything than a shot has detail.
constexpr int most_across = 1000;
/// Meshes beyond this are a slip of the unit: a run would take days and 100 GB.
constexpr double most_elements = 2e7;

void check_options(const MeshOptions& options) {
  const auto require = [](bool good, const std::string& what) {
    if (!good) throw Error("mesh options: " + what);
  };
  const auto positive = [](double x) { return std::isfinite(x) && x > 0.0; };
  require(positive(options.element_size), "the element size must be more than 0 mm");
  require(positive(options.grading) && options.grading <= 1.0,
          "the grading must be more than 0 and at most 1");
  require(positive(options.line_element_size), "the line element size must be more than 0 mm");
  require(options.across_channel >= 1 && options.across_gate >= 1 &&
              options.min_elements_per_line >= 1 && options.across_channel <= most_across &&
              options.across_gate <= most_across && options.min_elements_per_line <= most_across,
          "numbers of elements must be from 1 to 1000");
}

/// Refuses an element size that is out of proportion before anything is divided by it.
void check_proportion(const Layout& layout, const MeshOptions& options) {
  // Arcs as coarse as they may be: only the order of magnitude counts.
  constexpr ArcRule coarse = {1e-3, 1.0};
  double elements = 0.0;
  for (const Area& area : layout.areas) {
    const ClosedLine line = closed_line(area.outline, coarse);
    const double size = options.element_size;
    elements += 2.0 * std::abs(signed_area(line.points)) / (size * size);
    for (std::size_t i = 0; i < line.points.size(); ++i) {
      elements += distance(line.points[i], line.points[(i + 1) % line.points.size()]) / size;
    }
  }
  for (const RunnerLine& runner : layout.runners) {
    for (std::size_t i = 0; i + 1 < runner.points.size(); ++i) {
      elements += distance(runner.points[i], runner.points[i + 1]) / options.line_element_size;
    }
  }
  if (elements <= most_elements) return;
  throw Error("mesh options: an element size of " + in_mm(options.element_size) +
              " would give more than 20 million elements; choose a larger one");
}

SizeField size_field(const Layout& layout, const Borders& borders, const Joints& joints,
                     const MeshOptions& options) {
  std::vector<SizeFeature> features = border_features(layout, borders, options);
  for (const Mouth& mouth : joints.mouths) {
    for (const auto& [a, b] : mouth.sides) features.push_back({a, b, mouth.size});
    for (std::size_t i = 0; i < mouth.disc.size(); ++i) {
      features.push_back({mouth.disc[i], mouth.disc[(i + 1) % mouth.disc.size()], mouth.size});
    }
  }
  Box box;
  for (const Point p : borders.points) box.add(p);
  if (borders.points.empty()) box.add(Point{});
  return SizeField(features, options.element_size, options.grading, box);
}

void require_material(const Layout& layout, const Model& model) {
  std::vector<bool> present(layout.areas.size(), false);
  for (const std::int32_t region : model.mesh.region.span()) present[region] = true;
  for (std::size_t i = 0; i < present.size(); ++i) {
    if (present[i]) continue;
    const Point at = place_of(layout.areas[i].outline);
    throw GeometryError(entry_name(layout.areas[i]) + ": its holes leave nothing of it", at.x,
                        at.y);
  }
}

}  // namespace

Model build_model(const Layout& layout, const MeshOptions& options) {
  check_options(options);
  check_layout(layout);
  check_proportion(layout, options);
  const ArcRule rule = {std::min(arc_deviation, arc_deviation_share * options.element_size),
                        options.element_size};
  std::vector<ClosedLine> discs;
  if (auto disc = inlet_disc(layout, rule)) discs.push_back(std::move(*disc));
  Borders borders = draw_borders(layout, rule, discs);
  const Joints joints = find_joints(layout, options, borders);
  const RunnerNetwork network = build_network(layout, joints, options);
  const PieceFinder pieces(layout, borders);
  const SizeField field = size_field(layout, borders, joints, options);
  divide_sides(borders, field);

  Model model;
  Triangulation triangulation = triangulate(borders, pieces, field);
  model.mesh = std::move(triangulation.mesh);
  model.thickness = std::move(triangulation.thickness);
  for (const Area& area : layout.areas) {
    model.regions.push_back({area.name, area.role, area.visible});
  }
  require_material(layout, model);
  number_nodes(joints.mouths, network, model);
  direct_lines(layout, model);
  return model;
}

}  // namespace firstshot
