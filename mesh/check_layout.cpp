#include "mesh/check_layout.hpp"

#include <cmath>
#include <cstdio>
#include <numbers>
#include <set>

#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

std::string prefix(const Origin& origin) { return origin.empty() ? "" : origin + ": "; }
std::string quoted(const std::string& name) { return " \"" + name + "\""; }

[[noreturn]] void fail(const std::string& what, Point at) { throw GeometryError(what, at.x, at.y); }

/// No frame is larger; a coordinate beyond is a slip of the unit [m].
constexpr double farthest = 10.0;
/// An arc of 357.7°: any more is drawn as a circle.
constexpr double largest_bulge = 100.0;

bool positive(double value) { return value > 0.0 && value <= farthest; }

void require_positive(double value, const std::string& entry, const std::string& measure,
                      Point at) {
  if (!positive(value)) {
    fail(entry + ": " + measure + " is " + in_mm(value) +
             "; it must be more than 0 mm and at most " + in_mm(farthest),
         at);
  }
}

void require_in_range(Point p, const std::string& entry) {
  if (std::abs(p.x) <= farthest && std::abs(p.y) <= farthest) return;
  fail(entry + ": a coordinate is beyond the largest allowed, " + in_mm(farthest),
       std::isfinite(p.x) && std::isfinite(p.y) ? p : Point{});
}

void check_shape(const PolygonShape& polygon, const std::string& entry) {
  bool bent = false;
  for (const Corner& corner : polygon.corners) {
    require_in_range(corner.at, entry);
    if (!(std::abs(corner.bulge) <= largest_bulge)) {
      fail(entry + ": a bulge is out of range; it must be from -100 to 100", corner.at);
    }
    bent = bent || corner.bulge != 0.0;
  }
  const std::size_t n = polygon.corners.size();
  if (n < 2 || (n == 2 && !bent)) {
    fail(entry + ": the polygon has " + std::to_string(n) +
             " corners; it must have at least 3, or 2 with a bulge",
         n > 0 ? polygon.corners[0].at : Point{});
  }
}

void check_shape(const CircleShape& circle, const std::string& entry) {
  require_in_range(circle.centre, entry);
  require_positive(circle.diameter, entry, "the circle's diameter", circle.centre);
}

void check_shape(const RectangleShape& r, const std::string& entry) {
  require_in_range(r.centre, entry);
  require_positive(r.width, entry, "the rectangle's width", r.centre);
  require_positive(r.height, entry, "the rectangle's height", r.centre);
  if (!std::isfinite(r.turn))
    fail(entry + ": the rectangle's turn is not a finite number", r.centre);
  const double largest = std::min(r.width, r.height) / 2.0;
  // Rounding of decimal input must not refuse a slot whose radius is half its width.
  if (!(r.corner_radius >= 0.0 && r.corner_radius <= largest * (1.0 + 1e-9))) {
    fail(entry + ": the rectangle's corner radius is " + in_mm(r.corner_radius) +
             "; it must be from 0 to half the shorter side, " + in_mm(largest),
         r.centre);
  }
}

void check_shape(const Shape& shape, const std::string& entry) {
  std::visit([&](const auto& s) { check_shape(s, entry); }, shape);
}

void check_area(const Area& area) {
  const std::string entry = entry_name(area);
  check_shape(area.outline, entry);
  if (area.role == Role::sprue) {
    fail(entry + ": an area cannot be a sprue; its role is part, runner or gate",
         place_of(area.outline));
  }
  require_positive(area.thickness, entry, "the thickness", place_of(area.outline));
  for (std::size_t i = 0; i < area.holes.size(); ++i) {
    check_shape(area.holes[i], entry + ", hole " + std::to_string(i + 1));
  }
  for (std::size_t i = 0; i < area.steps.size(); ++i) {
    const std::string step = entry + ", step " + std::to_string(i + 1);
    check_shape(area.steps[i].outline, step);
    require_positive(area.steps[i].thickness, step, "the thickness",
                     place_of(area.steps[i].outline));
  }
}

void check_section(const Section& section, const std::string& entry, Point at) {
  if (const auto* round = std::get_if<RoundSection>(&section)) {
    require_positive(round->diameter, entry, "the diameter", at);
  } else if (const auto* half = std::get_if<HalfRoundSection>(&section)) {
    require_positive(half->diameter, entry, "the diameter", at);
  } else if (const auto* rectangle = std::get_if<RectangleSection>(&section)) {
    require_positive(rectangle->width, entry, "the width", at);
    require_positive(rectangle->depth, entry, "the depth", at);
  } else if (const auto* trapezoid = std::get_if<TrapezoidSection>(&section)) {
    require_positive(trapezoid->width, entry, "the width", at);
    require_positive(trapezoid->depth, entry, "the depth", at);
    const double largest =
        std::atan(trapezoid->width / 2.0 / trapezoid->depth) * 180.0 / std::numbers::pi;
    if (!(trapezoid->draft_deg >= 0.0 && trapezoid->draft_deg < largest)) {
      char text[120];
      std::snprintf(text, sizeof text,
                    ": the draft is %.4g deg; for this width and depth it must be from 0 to "
                    "less than %.4g deg",
                    trapezoid->draft_deg, largest);
      fail(entry + text, at);
    }
  }
}

void check_runner(const RunnerLine& runner) {
  const std::string entry = entry_name(runner);
  for (const Point p : runner.points) require_in_range(p, entry);
  if (runner.points.size() < 2) {
    fail(entry + " has " + std::to_string(runner.points.size()) +
             " points; a runner needs at least 2",
         runner.points.empty() ? Point{} : runner.points[0]);
  }
  for (std::size_t i = 0; i + 1 < runner.points.size(); ++i) {
    const double leg = distance(runner.points[i], runner.points[i + 1]);
    if (leg > joint_tolerance) continue;
    fail(entry + ": points " + std::to_string(i + 1) + " and " + std::to_string(i + 2) + " are " +
             in_mm(leg) + " apart; a leg of a runner must be longer than " + in_mm(joint_tolerance),
         runner.points[i]);
  }
  if (runner.start.index() != runner.end.index()) {
    fail(entry + " starts with a " + kind_name(runner.start) + " section and ends with a " +
             kind_name(runner.end) + " one; both must be of the same kind",
         runner.points[0]);
  }
  check_section(runner.start, entry + ", start", runner.points.front());
  check_section(runner.end, entry + ", end", runner.points.back());
}

void check_gate(const GateLine& gate) {
  const std::string entry = entry_name(gate);
  require_in_range(gate.from, entry);
  require_in_range(gate.to, entry);
  require_positive(gate.width, entry, "the width", gate.to);
  require_positive(gate.depth, entry, "the depth", gate.to);
  if (distance(gate.from, gate.to) <= joint_tolerance) {
    fail(entry + " is " + in_mm(distance(gate.from, gate.to)) +
             " long; a gate must be longer than " + in_mm(joint_tolerance),
         gate.to);
  }
}

void check_inlet(const Layout& layout) {
  if (layout.sprue) {
    const std::string entry = entry_name(*layout.sprue);
    require_in_range(layout.sprue->at, entry);
    require_positive(layout.sprue->length, entry, "the length", layout.sprue->at);
    require_positive(layout.sprue->nozzle_diameter, entry, "the diameter at the nozzle",
                     layout.sprue->at);
    require_positive(layout.sprue->foot_diameter, entry, "the diameter at the foot",
                     layout.sprue->at);
    return;
  }
  const std::string entry = prefix(layout.injection_origin) + "the injection point";
  require_in_range(layout.injection, entry);
  const auto require_not_negative = [&](double value, const std::string& measure) {
    if (std::isfinite(value) && value >= 0.0) return;
    fail(entry + ": its " + measure + " is " + in_mm(value) +
             "; it must be more than 0 mm, or 0 for the default",
         layout.injection);
  };
  require_not_negative(layout.injection_diameter, "diameter");
  require_not_negative(layout.injection_width, "width");
}

void check_names(const Layout& layout) {
  std::set<std::string> names;
  const auto add = [&](const std::string& name, const std::string& entry, Point at) {
    if (!names.insert(name).second) {
      fail(entry + ": another entry has the same name; names must differ", at);
    }
  };
  if (layout.sprue) add("sprue", entry_name(*layout.sprue), layout.sprue->at);
  for (const Area& area : layout.areas) add(area.name, entry_name(area), place_of(area.outline));
  for (const RunnerLine& runner : layout.runners) {
    add(runner.name, entry_name(runner), runner.points.front());
  }
  for (const GateLine& gate : layout.gates) add(gate.name, entry_name(gate), gate.to);
}

}  // namespace

std::string entry_name(const Area& area) {
  return prefix(area.origin) + role_name(area.role) + quoted(area.name);
}
std::string entry_name(const RunnerLine& runner) {
  return prefix(runner.origin) + "runner" + quoted(runner.name);
}
std::string entry_name(const GateLine& gate) {
  return prefix(gate.origin) + "gate" + quoted(gate.name);
}
std::string entry_name(const Sprue& sprue) { return prefix(sprue.origin) + "the sprue"; }

std::string in_mm(double length) {
  char text[40];
  std::snprintf(text, sizeof text, "%.4g mm", length / 1e-3);
  return text;
}

std::string place_text(Point p) {
  // To a thousandth of a millimetre; adding 0 turns -0 into 0.
  const auto shown = [](double length) { return std::round(length / 1e-6) / 1e3 + 0.0; };
  char text[80];
  std::snprintf(text, sizeof text, "(%.8g, %.8g) mm", shown(p.x), shown(p.y));
  return text;
}

Point place_of(const Shape& shape) {
  if (const auto* polygon = std::get_if<PolygonShape>(&shape)) {
    return polygon->corners.empty() ? Point{} : polygon->corners[0].at;
  }
  if (const auto* circle = std::get_if<CircleShape>(&shape)) return circle->centre;
  return std::get<RectangleShape>(shape).centre;
}

void check_layout(const Layout& layout) {
  if (layout.areas.empty() && layout.runners.empty()) {
    fail("the layout is empty; it needs at least one part or one runner", layout.injection);
  }
  for (const Area& area : layout.areas) check_area(area);
  for (const RunnerLine& runner : layout.runners) check_runner(runner);
  for (const GateLine& gate : layout.gates) check_gate(gate);
  check_inlet(layout);
  check_names(layout);
}

}  // namespace firstshot
