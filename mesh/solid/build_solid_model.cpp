#include "mesh/solid/build_solid_model.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "mesh/border_sizes.hpp"
#include "mesh/check_layout.hpp"
#include "mesh/direct.hpp"
#include "mesh/error.hpp"
#include "mesh/joints.hpp"
#include "mesh/number_nodes.hpp"
#include "mesh/outline.hpp"
#include "mesh/plane.hpp"
#include "mesh/solid/draw_frame.hpp"
#include "mesh/solid/draw_lines.hpp"
#include "mesh/solid/gate_lines.hpp"
#include "mesh/solid/lifted_flips.hpp"
#include "mesh/solid/narrowings.hpp"
#include "mesh/solid/necks.hpp"
#include "mesh/solid/plan_outline.hpp"
#include "mesh/solid/relief.hpp"
#include "mesh/solid/roles.hpp"
#include "mesh/solid/solid_borders.hpp"
#include "mesh/solid/sprue.hpp"
#include "mesh/solid/stub.hpp"
#include "mesh/solid/undercuts.hpp"
#include "mesh/solid/wall_draft.hpp"
#include "mesh/solid/width_map.hpp"
#include "mesh/triangulate.hpp"

namespace firstshot {
namespace {

/// Lines along the draw: this many per wanted edge length, at least so many across the shorter side
/// of the frame, and never more in all than memory allows.
constexpr double lines_per_element = 20.0;
constexpr double lines_across = 160.0;
constexpr double most_lines = 16e6;
/// Outlines may move by this [m], or by this share of the element size when that is less: half the
/// finest step of common cutters. As for the arcs of a layout.
constexpr double outline_tolerance = 0.02e-3;
constexpr double outline_tolerance_share = 1.0 / 60.0;
/// Mouth of an injection whose diameter is not given, in thicknesses at the place (common practice,
/// no source).
constexpr double default_mouth_over_thickness = 2.0;
constexpr int across_part = 4;
/// More elements across a runner than its profile needs: its flanks slope.
constexpr int flank_elements = 2;
/// Mouth of an injection whose rim is near: not quite as far as that.
constexpr double mouth_share = 0.85;
/// The melt comes down through a sprue's foot on one face of the channel below, and spreads over
/// that channel's depth: in ideal flow as if it came in through a wall 2 ln 2/π = 0.44 depths
/// further in than the rim of the foot (conformal map, derived here).
constexpr double spread_depths = 2.0 * std::numbers::ln2 / std::numbers::pi;
/// Mouth of the sprue in the frame, in diameters of its foot.
constexpr double least_foot_share = 0.35, most_foot_share = 0.85;

double cell_size(const Box& box, double element_size) {
  const double width = box.high.x - box.low.x, height = box.high.y - box.low.y;
  const double fine =
      std::min(element_size / lines_per_element, std::min(width, height) / lines_across);
  return std::max(fine, std::sqrt(width * height / most_lines));
}

Point centre_of(const TriMesh& mesh, TriId t) {
  const Triangle& c = mesh.triangles[t];
  return (1.0 / 3.0) * (mesh.points[c[0]] + mesh.points[c[1]] + mesh.points[c[2]]);
}

/// Everything known about the solid before it is divided into pieces.
class Builder {
 public:
  Builder(const Shell& shell, const SolidOptions& options, SolidReport& report)
      : options_(options), report_(report) {
    step("checking the surface", 0.0);
    Shell checked = check_shell(shell, &report_.shell);
    step("finding the draw", 0.15);
    report_.draw_was_given = options.draw.has_value();
    report_.frame = options.draw ? frame_along(*options.draw) : best_frame(checked);
    shell_ = in_frame(checked, report_.frame);
  }

  Model run() {
    const DrawLines lines(shell_);
    step("looking along the draw", 0.3);
    const PlanGrid grid =
        plan_grid(lines.box(), cell_size(lines.box(), options_.mesh.element_size));
    report_.cell = grid.cell;
    const ScanLines rows = scan_rows(shell_, grid), across = scan_columns(shell_, grid);
    const std::vector<std::uint8_t> inside = shadow(grid, rows);
    const WidthMap map = width_map(grid, inside);
    ColumnGrid columns = column_grid(lines, grid, map);
    report_.undercuts = find_undercuts(columns);
    refuse_undercuts(report_.undercuts, options_.undercut_tolerance);

    step("drawing the outline", 0.5);
    std::vector<PlanLoop> loops = outlines(grid, inside, rows, across);
    step("finding runners, gates and parts", 0.6);
    find_inlet(lines, columns);
    const std::vector<RidgePoint> middle = ridge(grid, map);
    const Necks necks = find_necks(columns);
    const RoleInput plan = {columns, necks, middle, loops, inlet_};
    const Roles roles = find_roles(plan, options_.parts);
    report_.unused_marks = roles.unused_marks;
    for (const GateShape& gate : roles.gates) report_.gates.push_back(gate.size);

    std::vector<Stub> stubs;
    for (const GateShape& gate : roles.gates)
      if (const auto stub = stub_before(plan, gate)) stubs.push_back(*stub);

    step("meshing", 0.7);
    std::vector<Cut> cuts;
    std::vector<PlanLoop> cut_loops = loops;
    const std::vector<OpenGate> gates = cut_gates(cut_loops, roles, cuts);
    const auto in_gate = [&](Point p) {
      return std::any_of(gates.begin(), gates.end(),
                         [&](const OpenGate& g) { return lies_between(g.start, g.end, p); });
    };
    const auto region_at = [&](Point p) {
      const std::int32_t piece = necks.at(columns.grid, p);
      return piece < 0 ? -1 : roles.region_of_piece[piece];
    };
    Borders borders = solid_borders(cut_loops);
    add_cuts(borders, cuts);
    Joints joints = open_inlet(lines, borders);
    Layout names = names_for(roles);
    add_gate_mouths(gates, roles, options_.mesh.across_gate, joints, names);
    Model model =
        meshed(borders, sizes(borders, joints, outside(middle, in_gate), roles, region_at),
               lines.box(), [&](Point p) {
                 const int i = static_cast<int>(std::lround((p.x - grid.low.x) / grid.cell));
                 const int j = static_cast<int>(std::lround((p.y - grid.low.y) / grid.cell));
                 if (i < 0 || j < 0 || i >= grid.nx || j >= grid.ny ||
                     inside[grid.index(i, j)] == 0 || in_gate(p))
                   return Piece{-1, 1.0};
                 return Piece{std::max(region_at(p), 0), 1.0};
               });
    model.regions = roles.regions;
    step("laying the relief", 0.9);
    const auto column_at = [&](Point p) {
      const DrawColumn column = lines.at(p);
      return sprue_ ? without_sprue(column, *sprue_, p) : column;
    };
    lay_relief(column_at, model);
    const auto in_mouth = [&](VertexId v) {
      return std::any_of(joints.mouths.begin(), joints.mouths.end(), [&](const Mouth& mouth) {
        return std::find(mouth.disc.begin(), mouth.disc.end(), model.mesh.points[v]) !=
               mouth.disc.end();
      });
    };
    if (flip_on_walls(model.mesh,
                      [&](VertexId a, VertexId b) { return in_mouth(a) && in_mouth(b); }) > 0)
      lay_relief(column_at, model);
    number(joints, names, plan, gates, model);
    lay_entrances(stubs, model);
    report_.walls = wall_drafts(shell_, lines, columns, model.regions,
                                [&](Point p) { return in_gate(p) ? -1 : region_at(p); });
    step("done", 1.0);
    return model;
  }

 private:
  void step(const std::string& what, double share) const {
    if (options_.progress) options_.progress(what, share);
  }

  std::vector<PlanLoop> outlines(const PlanGrid& grid, const std::vector<std::uint8_t>& inside,
                                 const ScanLines& rows, const ScanLines& columns) {
    const double tolerance =
        std::min(outline_tolerance, outline_tolerance_share * options_.mesh.element_size);
    std::vector<PlanLoop> loops;
    for (const PlanLoop& loop : plan_loops(grid, inside, rows, columns)) {
      loops.push_back(simplified(loop, tolerance));
      report_.projected_area += signed_area(loops.back());
    }
    if (loops.empty()) throw Error("the solid casts no shadow along the draw");
    return loops;
  }

  /// Where the melt enters; takes the sprue off the columns when there is one.
  void find_inlet(const DrawLines& lines, ColumnGrid& columns) {
    if (!(options_.injection_width > 0.0)) sprue_ = find_sprue(columns);
    if (options_.injection) {
      inlet_ = *options_.injection;
      // A given point says where, not whether a sprue stands there.
      if (sprue_ && distance(inlet_, sprue_->size.at) > sprue_->size.foot_diameter) sprue_.reset();
    } else if (!sprue_) {
      const Point middle = between(lines.box().low, lines.box().high, 0.5);
      throw GeometryError(
          "no sprue was found: nothing slim stands high above the frame near its "
          "middle; give the injection point",
          middle.x, middle.y);
    }
    if (!sprue_) return;
    inlet_ = sprue_->size.at;
    report_.sprue = sprue_->size;
    for (std::size_t k = 0; k < columns.grid.size(); ++k) {
      if (!columns.holds(k)) continue;
      const auto nx = static_cast<std::size_t>(columns.grid.nx);
      const Point p = columns.grid.at(static_cast<int>(k % nx), static_cast<int>(k / nx));
      DrawColumn column;
      column.intervals = 1;
      column.lower = columns.lower[k];
      column.upper = columns.upper[k];
      column = without_sprue(column, *sprue_, p);
      columns.lower[k] = static_cast<float>(column.lower);
      columns.upper[k] = static_cast<float>(column.upper);
    }
  }

  /// What build_network and direct_lines read of a layout.
  Layout names_for(const Roles& roles) const {
    Layout names;
    for (const Region& region : roles.regions) {
      names.areas.emplace_back();
      names.areas.back().name = region.name;
      names.areas.back().role = region.role;
    }
    if (sprue_) {
      const SprueFound& s = sprue_->size;
      names.sprue = Sprue{s.at, s.length, s.nozzle_diameter, s.foot_diameter, {}};
    }
    return names;
  }

  template <class InGate>
  static std::vector<RidgePoint> outside(const std::vector<RidgePoint>& ridge,
                                         const InGate& in_gate) {
    std::vector<RidgePoint> left;
    for (const RidgePoint& r : ridge)
      if (!in_gate(r.at)) left.push_back(r);
    return left;
  }

  /// The mouth through which the melt enters, drawn into the borders.
  Joints open_inlet(const DrawLines& lines, Borders& borders) const {
    Joints joints;
    joints.inlet.at = inlet_;
    joints.inlet.mouth = 0;
    const RimPlace rim = nearest_rim(borders, joints.inlet.at);
    if (options_.injection_width > 0.0) {
      if (rim.distance > joint_tolerance)
        throw GeometryError("the injection point is " + in_mm(rim.distance) +
                                " off the rim; with a width it must lie on it",
                            joints.inlet.at.x, joints.inlet.at.y);
      joints.mouths.push_back(cut_rim_mouth(borders, rim, options_.injection_width,
                                            options_.mesh.across_gate, "the injection point"));
      return joints;
    }
    const DrawColumn column = lines.at(joints.inlet.at);
    if (!column.holds())
      throw GeometryError("the injection point is off the frame: the nearest rim is " +
                              in_mm(rim.distance) + " away; it must lie on the solid",
                          joints.inlet.at.x, joints.inlet.at.y);
    double diameter = options_.injection_diameter;
    if (diameter > 2.0 * rim.distance)
      throw GeometryError("the injection mouth of " + in_mm(diameter) +
                              " reaches over the rim of the frame, which is " +
                              in_mm(rim.distance) + " away; make it smaller or move it",
                          joints.inlet.at.x, joints.inlet.at.y);
    if (!(diameter > 0.0))
      diameter =
          std::min(default_mouth_over_thickness * column.chord(), 2.0 * mouth_share * rim.distance);
    // Never to the rim of the foot, which is a piece of the outline where it overhangs a runner.
    if (sprue_) {
      const double foot = sprue_->size.foot_diameter;
      const double below = without_sprue(column, *sprue_, joints.inlet.at).chord();
      diameter = std::clamp(foot - 2.0 * spread_depths * below, least_foot_share * foot,
                            most_foot_share * foot);
    }
    Mouth mouth;
    mouth.centre = joints.inlet.at;
    const double longest = options_.mesh.element_size;
    mouth.disc =
        closed_line(CircleShape{mouth.centre, diameter},
                    {std::min(outline_tolerance, outline_tolerance_share * longest), longest})
            .points;
    mouth.size = diameter / options_.mesh.across_gate;
    BorderLoop loop;
    loop.kind = BorderKind::mouth;
    for (const Point p : mouth.disc) {
      loop.side.push_back(static_cast<int>(loop.points.size()));
      loop.points.push_back(static_cast<int>(borders.points.size()));
      borders.points.push_back(p);
    }
    borders.loops.push_back(std::move(loop));
    joints.mouths.push_back(std::move(mouth));
    return joints;
  }

  template <class RegionAt>
  std::vector<SizeFeature> sizes(const Borders& borders, const Joints& joints,
                                 const std::vector<RidgePoint>& middle, const Roles& roles,
                                 const RegionAt& region_at) const {
    const auto across = [&](const RidgePoint& r) {
      const std::int32_t region = region_at(r.at);
      if (region < 0 || roles.regions[region].role != Role::runner) return across_part;
      return options_.mesh.across_channel + flank_elements;
    };
    std::vector<SizeFeature> features =
        solid_features(borders, middle, across, options_.mesh.element_size);
    for (const Mouth& mouth : joints.mouths) {
      for (const auto& [a, b] : mouth.sides) features.push_back({a, b, mouth.size});
      for (std::size_t i = 0; i < mouth.disc.size(); ++i)
        features.push_back({mouth.disc[i], mouth.disc[(i + 1) % mouth.disc.size()], mouth.size});
    }
    return features;
  }

  Model meshed(Borders& borders, const std::vector<SizeFeature>& features, const Box& box,
               const PieceAt& piece_at) const {
    const SizeField field(features, options_.mesh.element_size, options_.mesh.grading, box);
    divide_sides(borders, field);
    Triangulation triangulation = triangulate(borders, piece_at, field);
    Model model;
    model.mesh = std::move(triangulation.mesh);
    return model;
  }

  /// Numbers the nodes, lays the gates between their mouths and stands the sprue on its foot.
  void number(const Joints& joints, const Layout& names, const RoleInput& plan,
              const std::vector<OpenGate>& gates, Model& model) {
    number_nodes(joints.mouths, build_network(names, joints, options_.mesh), model);
    lay_gate_sections(plan, gates, model, report_.gates);
    direct_lines(names, model);
    for (const double v : region_volumes(model)) report_.volume += v;
    for (const double v : channel_volumes(model)) report_.volume += v;
  }

  /// Entrance losses in runners and in the short ones in front of gates; gates carry their own.
  void lay_entrances(const std::vector<Stub>& stubs, Model& model) const {
    const double foot = sprue_ ? 0.5 * sprue_->size.foot_diameter : 0.0;
    model.entrance = entrance_shares(model, std::numbers::pi * foot * foot);
    for (const Stub& stub : stubs) {
      std::vector<TriId> inside;
      std::size_t known = 0;
      for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
        const TriId t = make_id<TriId>(i);
        if (model.regions[model.mesh.region[t]].role != Role::runner ||
            !lies_between(stub.start, stub.end, centre_of(model.mesh, t)))
          continue;
        inside.push_back(t);
        if (model.entrance[t] > 0.0) ++known;
      }
      if (2 * known > inside.size()) continue;
      for (const TriId t : inside) model.entrance[t] = stub.hydraulic_radius / stub.length;
    }
  }

  const SolidOptions& options_;
  SolidReport& report_;
  Shell shell_;
  std::optional<StandingSprue> sprue_;
  Point inlet_;
};

}  // namespace

void scale(SolidReport& report, double factor) {
  report.cell *= factor;
  report.volume *= factor * factor * factor;
  report.projected_area *= factor * factor;
  for (Undercut& u : report.undercuts) {
    u.at = {factor * u.at.x, factor * u.at.y, factor * u.at.z};
    u.size *= factor;
    u.gap *= factor;
  }
  for (GateFound& gate : report.gates) {
    gate.at = factor * gate.at;
    for (double* length : {&gate.width, &gate.depth, &gate.length}) *length *= factor;
  }
  for (SideWalls& walls : report.walls) {
    walls.at = {factor * walls.at.x, factor * walls.at.y, factor * walls.at.z};
    for (AreaByDraft* areas : {&walls.core, &walls.outer})
      for (double& area : *areas) area *= factor * factor;
  }
  if (!report.sprue) return;
  SprueFound& sprue = *report.sprue;
  sprue.at = factor * sprue.at;
  for (double* length : {&sprue.length, &sprue.nozzle_diameter, &sprue.foot_diameter})
    *length *= factor;
}

Model build_solid_model(const Shell& shell, const SolidOptions& options, SolidReport* report) {
  SolidReport own;
  return Builder(shell, options, report != nullptr ? *report : own).run();
}

}  // namespace firstshot
