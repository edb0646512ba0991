#include "mesh/joints.hpp"

#include <cmath>
#include <numbers>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

/// Mouth of an injection whose diameter is not given, in thicknesses at the place (common practice,
/// no source: about the size of the opening that a direct injection leaves).
constexpr double default_mouth_over_thickness = 2.0;

Point inlet_place(const Layout& layout) {
  return layout.sprue ? layout.sprue->at : layout.injection;
}

bool near_or_inside(const ClosedLine& line, Point p, bool rim_counts) {
  if (rim_distance(line.points, p) <= joint_tolerance) return rim_counts;
  return contains(line.points, p);
}

/// The area that lies at p, its rim included; nothing in a hole or beside all areas.
const Area* area_at(const Layout& layout, const ArcRule& rule, Point p) {
  for (const Area& area : layout.areas) {
    if (!near_or_inside(closed_line(area.outline, rule), p, true)) continue;
    bool in_hole = false;
    for (const Shape& hole : area.holes) {
      in_hole = in_hole || near_or_inside(closed_line(hole, rule), p, false);
    }
    if (!in_hole) return &area;
  }
  return nullptr;
}

double thickness_at(const Area& area, const ArcRule& rule, Point p) {
  double thickness = area.thickness;
  for (const Step& step : area.steps) {
    if (near_or_inside(closed_line(step.outline, rule), p, true)) thickness = step.thickness;
  }
  return thickness;
}

std::string inlet_name(const Layout& layout) {
  if (layout.sprue) return entry_name(*layout.sprue);
  const Origin& origin = layout.injection_origin;
  return (origin.empty() ? "" : origin + ": ") + std::string("the injection point");
}

class JointFinder {
 public:
  JointFinder(const Layout& layout, const MeshOptions& options, Borders& borders)
      : layout_(layout), options_(options), borders_(borders) {}

  Joints run() {
    find_inlet();
    for (const GateLine& gate : layout_.gates) {
      joints_.gate_from.push_back(start_of(gate));
      joints_.gate_to.push_back(end_of(gate));
    }
    require_inlet_on_frame();
    return std::move(joints_);
  }

 private:
  void find_inlet() {
    Inlet& inlet = joints_.inlet;
    inlet.at = inlet_place(layout_);
    inlet.on_channel = runner_distance(layout_, inlet.at) <= joint_tolerance;
    if (!layout_.sprue && layout_.injection_width > 0.0) {
      const RimPlace place = nearest_rim(borders_, inlet.at);
      if (!(place.loop >= 0 && place.distance <= joint_tolerance)) return;
      inlet.mouth = add_rim_mouth(place, layout_.injection_width, inlet_name(layout_));
      return;
    }
    for (const BorderLoop& loop : borders_.loops) {
      if (loop.kind != BorderKind::mouth) continue;
      Mouth mouth;
      mouth.centre = inlet.at;
      for (const int p : loop.points) mouth.disc.push_back(borders_.points[p]);
      mouth.size = disc_size(mouth.disc);
      inlet.mouth = static_cast<int>(joints_.mouths.size());
      joints_.mouths.push_back(std::move(mouth));
    }
  }

  /// Elements across a round mouth as across a gate's.
  double disc_size(const std::vector<Point>& disc) const {
    const double diameter = 2.0 * std::sqrt(signed_area(disc) / std::numbers::pi);
    return diameter / options_.across_gate;
  }

  int add_rim_mouth(const RimPlace& place, double width, const std::string& entry) {
    joints_.mouths.push_back(cut_rim_mouth(borders_, place, width, options_.across_gate, entry));
    return static_cast<int>(joints_.mouths.size()) - 1;
  }

  bool on_sprue_foot(Point p) const {
    return layout_.sprue &&
           distance(layout_.sprue->at, p) <= layout_.sprue->foot_diameter / 2.0 + joint_tolerance;
  }

  GateEnd start_of(const GateLine& gate) {
    if (runner_distance(layout_, gate.from) <= joint_tolerance) return {gate.from, -1};
    if (on_sprue_foot(gate.from)) {
      joints_.inlet.on_channel = true;
      return {layout_.sprue->at, -1};
    }
    const RimPlace place = nearest_rim(borders_, gate.from);
    if (place.loop >= 0 && place.distance <= joint_tolerance) {
      return {place.at, add_rim_mouth(place, gate.width, entry_name(gate))};
    }
    const double nearest = std::min(place.distance, runner_distance(layout_, gate.from));
    throw GeometryError(
        entry_name(gate) + " starts on nothing: " + nearest_text("runner or rim", nearest) +
            "; its start must lie on a runner, the sprue's foot or the rim of an area, within " +
            in_mm(joint_tolerance),
        gate.from.x, gate.from.y);
  }

  GateEnd end_of(const GateLine& gate) {
    const RimPlace place = nearest_rim(borders_, gate.to);
    if (place.loop >= 0 && place.distance <= joint_tolerance) {
      return {place.at, add_rim_mouth(place, gate.width, entry_name(gate))};
    }
    throw GeometryError(
        entry_name(gate) +
            " touches nothing at its end: " + nearest_text("outline", place.distance) +
            "; its end must lie on the outline of an area, within " + in_mm(joint_tolerance),
        gate.to.x, gate.to.y);
  }

  static std::string nearest_text(const std::string& what, double nearest) {
    constexpr double none = 1e100;  // the distance that stands for "there is none"
    if (nearest > none) return "there is no " + what;
    return "the nearest " + what + " is " + in_mm(nearest) + " away";
  }

  void require_inlet_on_frame() const {
    const Inlet& inlet = joints_.inlet;
    if (inlet.on_channel || inlet.mouth >= 0) return;
    const bool wants_rim = !layout_.sprue && layout_.injection_width > 0.0;
    const double nearest =
        std::min(nearest_rim(borders_, inlet.at).distance, runner_distance(layout_, inlet.at));
    throw GeometryError(
        inlet_name(layout_) + " is off the frame: " + nearest_text("runner or rim", nearest) +
            "; it must lie on a runner or " + (wants_rim ? "on the rim of an area" : "in an area"),
        inlet.at.x, inlet.at.y);
  }

  const Layout& layout_;
  const MeshOptions& options_;
  Borders& borders_;
  Joints joints_;
};

}  // namespace

double runner_distance(const Layout& layout, Point p) {
  double nearest = 1e300;
  for (const RunnerLine& runner : layout.runners) {
    for (std::size_t i = 0; i + 1 < runner.points.size(); ++i) {
      nearest = std::min(nearest, foot_on(runner.points[i], runner.points[i + 1], p).distance);
    }
  }
  return nearest;
}

std::optional<ClosedLine> inlet_disc(const Layout& layout, const ArcRule& rule) {
  if (!layout.sprue && layout.injection_width > 0.0) return std::nullopt;
  const Point at = inlet_place(layout);
  const Area* area = area_at(layout, rule, at);
  if (area == nullptr) return std::nullopt;
  double diameter = layout.sprue ? layout.sprue->foot_diameter : layout.injection_diameter;
  if (diameter <= 0.0) diameter = default_mouth_over_thickness * thickness_at(*area, rule, at);
  return closed_line(CircleShape{at, diameter}, rule);
}

Joints find_joints(const Layout& layout, const MeshOptions& options, Borders& borders) {
  return JointFinder(layout, options, borders).run();
}

}  // namespace firstshot
