#include <charconv>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "io/resolved_case.hpp"
#include "io/toml_text.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

using D = Dimension;

std::string quantity_line(const char* key, double value, Dimension dim) {
  return fmt::format("{} = \"{}\"\n", key, format_quantity(value, dim));
}

// Writes coordinates in one unit and notes whether all of them read back as the same doubles.
class Coordinates {
 public:
  explicit Coordinates(std::string unit) : unit_(std::move(unit)) {}
  std::string text(double value) {
    std::string text = format_number_in(value, unit_, D::length);
    exact_ = exact_ && convert_quantity(number_in(text), unit_, D::length) == value;
    return text;
  }
  std::string text(const Point& p) { return fmt::format("[{}, {}]", text(p.x), text(p.y)); }
  bool exact() const { return exact_; }

 private:
  static double number_in(const std::string& text) {
    double value = 0.0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
  }
  std::string unit_;
  bool exact_ = true;
};

struct ShapeText {
  Coordinates& at;
  std::string operator()(const PolygonShape& shape) const {
    std::string text = "polygon = [\n";
    for (const Corner& corner : shape.corners) {
      const std::string bulge =
          corner.bulge == 0.0 ? "" : fmt::format(", {}", toml_number(corner.bulge));
      text += fmt::format("  [{}, {}{}],\n", at.text(corner.at.x), at.text(corner.at.y), bulge);
    }
    return text + "]\n";
  }
  std::string operator()(const CircleShape& shape) const {
    return fmt::format("circle = {{ centre = {}, diameter = \"{}\" }}\n", at.text(shape.centre),
                       format_quantity(shape.diameter, D::length));
  }
  std::string operator()(const RectangleShape& shape) const {
    return fmt::format(
        "rectangle = {{ centre = {}, size = [{}, {}], radius = \"{}\", turn = \"{}\" }}\n",
        at.text(shape.centre), at.text(shape.width), at.text(shape.height),
        format_quantity(shape.corner_radius, D::length), format_quantity(shape.turn, D::angle));
  }
};

std::string area_text(const Area& area, Coordinates& at) {
  const ShapeText shape{at};
  std::string text = fmt::format("\n[[layout.part]]\nname = {}\n", toml_string(area.name));
  text += quantity_line("thickness", area.thickness, D::length);
  text += fmt::format("visible = {}\nrole = \"{}\"\n", area.visible, role_name(area.role));
  text += std::visit(shape, area.outline);
  for (const Shape& hole : area.holes)
    text += fmt::format("[[layout.part.hole]]\n{}", std::visit(shape, hole));
  for (const Step& step : area.steps) {
    text += fmt::format("[[layout.part.step]]\n{}{}", std::visit(shape, step.outline),
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

std::string runner_text(const RunnerLine& runner, Coordinates& at) {
  std::string points;
  for (const Point& p : runner.points)
    points += fmt::format("{}{}", points.empty() ? "" : ", ", at.text(p));
  return fmt::format(
      "\n[[layout.runner]]\nname = {}\npoints = [{}]\nsection = {{ kind = \"{}\"{}{} }}\n",
      toml_string(runner.name), points, kind_name(runner.start),
      std::visit(SectionText{""}, runner.start), std::visit(SectionText{"end_"}, runner.end));
}

std::string gate_text(const GateLine& gate, Coordinates& at) {
  return fmt::format("\n[[layout.gate]]\nname = {}\nfrom = {}\nto = {}\n{}{}",
                     toml_string(gate.name), at.text(gate.from), at.text(gate.to),
                     quantity_line("width", gate.width, D::length),
                     quantity_line("depth", gate.depth, D::length));
}

std::string sprue_text(const Sprue& sprue, Coordinates& at) {
  return fmt::format("\n[layout.sprue]\nat = {}\n{}{}{}", at.text(sprue.at),
                     quantity_line("length", sprue.length, D::length),
                     quantity_line("nozzle_diameter", sprue.nozzle_diameter, D::length),
                     quantity_line("foot_diameter", sprue.foot_diameter, D::length));
}

std::string injection_text(const Layout& layout, Coordinates& at) {
  std::string text = fmt::format("\n[injection]\nat = {}\n", at.text(layout.injection));
  if (layout.injection_diameter > 0.0)
    text += quantity_line("diameter", layout.injection_diameter, D::length);
  if (layout.injection_width > 0.0)
    text += quantity_line("width", layout.injection_width, D::length);
  return text;
}

std::string vent_text(const Vent& vent, Coordinates& at) {
  std::string places;
  for (const Point& p : vent.at)
    places += fmt::format("{}{}", places.empty() ? "" : ", ", at.text(p));
  return fmt::format(
      "\n[[vent]]\nat = [{}]\n{}{}{}", places, quantity_line("width", vent.width, D::length),
      quantity_line("depth", vent.depth, D::length), quantity_line("land", vent.land, D::length));
}

std::string ejector_text(const EjectorPin& pin, Coordinates& at) {
  return fmt::format("\n[[ejector]]\nname = {}\nat = {}\n{}{}{}", toml_string(pin.name),
                     at.text(pin.at), quantity_line("diameter", pin.diameter, D::length),
                     quantity_line("clearance", pin.clearance, D::length),
                     quantity_line("land", pin.land, D::length));
}

std::string text_in_unit(const Layout& layout, const char* unit, Coordinates& at) {
  std::string text = injection_text(layout, at);
  for (const Vent& vent : layout.vents) text += vent_text(vent, at);
  for (const EjectorPin& pin : layout.ejectors) text += ejector_text(pin, at);
  text += fmt::format("\n[layout]\nunit = \"{}\"\n", unit);
  if (layout.sprue) text += sprue_text(*layout.sprue, at);
  for (const Area& area : layout.areas) text += area_text(area, at);
  for (const RunnerLine& runner : layout.runners) text += runner_text(runner, at);
  for (const GateLine& gate : layout.gates) text += gate_text(gate, at);
  return text;
}

}  // namespace

std::string mould_text(const Layout& layout, const std::string& unit) {
  Coordinates at(unit);
  std::string text;
  for (const Vent& vent : layout.vents) text += vent_text(vent, at);
  for (const EjectorPin& pin : layout.ejectors) text += ejector_text(pin, at);
  return text;
}

std::string layout_text(const Layout& layout) {
  Coordinates in_mm("mm");
  std::string text = text_in_unit(layout, "mm", in_mm);
  if (in_mm.exact()) return text;
  Coordinates in_m("m");  // always exact: nothing is converted
  return text_in_unit(layout, "m", in_m);
}

}  // namespace firstshot
