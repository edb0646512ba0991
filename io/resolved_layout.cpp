#include <numbers>

#include <fmt/format.h>

#include "io/resolved_case.hpp"
#include "io/toml_text.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

using D = Dimension;

std::string mm(double value) { return format_number_in(value, "mm", D::length); }
std::string point_text(const Point& p) { return fmt::format("[{}, {}]", mm(p.x), mm(p.y)); }
std::string quantity_line(const char* key, double value, Dimension dim) {
  return fmt::format("{} = \"{}\"\n", key, format_quantity(value, dim));
}

struct ShapeText {
  std::string operator()(const PolygonShape& shape) const {
    std::string text = "polygon = [\n";
    for (const Corner& corner : shape.corners) {
      const std::string bulge =
          corner.bulge == 0.0 ? "" : fmt::format(", {}", toml_number(corner.bulge));
      text += fmt::format("  [{}, {}{}],\n", mm(corner.at.x), mm(corner.at.y), bulge);
    }
    return text + "]\n";
  }
  std::string operator()(const CircleShape& shape) const {
    return fmt::format("circle = {{ centre = {}, diameter = \"{}\" }}\n", point_text(shape.centre),
                       format_quantity(shape.diameter, D::length));
  }
  std::string operator()(const RectangleShape& shape) const {
    return fmt::format(
        "rectangle = {{ centre = {}, size = [{}, {}], radius = \"{}\", turn = \"{}\" }}\n",
        point_text(shape.centre), mm(shape.width), mm(shape.height),
        format_quantity(shape.corner_radius, D::length), format_quantity(shape.turn, D::angle));
  }
};

std::string shape_text(const Shape& shape) { return std::visit(ShapeText{}, shape); }

std::string area_text(const Area& area) {
  std::string text = fmt::format("\n[[layout.part]]\nname = {}\n", toml_string(area.name));
  text += quantity_line("thickness", area.thickness, D::length);
  text += fmt::format("visible = {}\nrole = \"{}\"\n", area.visible, role_name(area.role));
  text += shape_text(area.outline);
  for (const Shape& hole : area.holes)
    text += fmt::format("[[layout.part.hole]]\n{}", shape_text(hole));
  for (const Step& step : area.steps) {
    text += fmt::format("[[layout.part.step]]\n{}{}", shape_text(step.outline),
                        quantity_line("thickness", step.thickness, D::length));
  }
  return text;
}

// Measures of a section as keys; `prefix` is "" or "end_".
struct SectionText {
  std::string prefix;
  std::string measure(const char* key, double value) const {
    return fmt::format(", {}{} = \"{}\"", prefix, key, format_quantity(value, D::length));
  }
  std::string operator()(const RoundSection& s) const { return measure("diameter", s.diameter); }
  std::string operator()(const HalfRoundSection& s) const {
    return measure("diameter", s.diameter);
  }
  std::string operator()(const RectangleSection& s) const {
    return measure("width", s.width) + measure("depth", s.depth);
  }
  std::string operator()(const TrapezoidSection& s) const {
    const std::string draft =
        prefix.empty()
            ? fmt::format(", draft = \"{}\"", format_quantity(s.draft_deg, D::angle_in_degrees))
            : "";
    return measure("width", s.width) + measure("depth", s.depth) + draft;
  }
};

std::string runner_text(const RunnerLine& runner) {
  std::string points;
  for (const Point& p : runner.points)
    points += fmt::format("{}{}", points.empty() ? "" : ", ", point_text(p));
  return fmt::format(
      "\n[[layout.runner]]\nname = {}\npoints = [{}]\nsection = {{ kind = \"{}\"{}{} }}\n",
      toml_string(runner.name), points, kind_name(runner.start),
      std::visit(SectionText{""}, runner.start), std::visit(SectionText{"end_"}, runner.end));
}

std::string gate_text(const GateLine& gate) {
  return fmt::format("\n[[layout.gate]]\nname = {}\nfrom = {}\nto = {}\n{}{}",
                     toml_string(gate.name), point_text(gate.from), point_text(gate.to),
                     quantity_line("width", gate.width, D::length),
                     quantity_line("depth", gate.depth, D::length));
}

std::string sprue_text(const Sprue& sprue) {
  return fmt::format("\n[layout.sprue]\nat = {}\n{}{}{}", point_text(sprue.at),
                     quantity_line("length", sprue.length, D::length),
                     quantity_line("nozzle_diameter", sprue.nozzle_diameter, D::length),
                     quantity_line("foot_diameter", sprue.foot_diameter, D::length));
}

}  // namespace

std::string layout_text(const Layout& layout) {
  std::string text = "[layout]\nunit = \"mm\"\n";
  if (layout.sprue) text += sprue_text(*layout.sprue);
  for (const Area& area : layout.areas) text += area_text(area);
  for (const RunnerLine& runner : layout.runners) text += runner_text(runner);
  for (const GateLine& gate : layout.gates) text += gate_text(gate);
  return text;
}

}  // namespace firstshot
