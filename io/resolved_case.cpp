#include "io/resolved_case.hpp"

#include <initializer_list>
#include <system_error>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/toml_text.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

using D = Dimension;

// Collects "key = value" lines.
class Lines {
 public:
  void table(const char* name) { text_ += fmt::format("\n[{}]\n", name); }
  void quantity(const char* key, double value, Dimension dim) {
    text_ += fmt::format("{} = \"{}\"\n", key, format_quantity(value, dim));
  }
  void number(const char* key, double value) {
    text_ += fmt::format("{} = {}\n", key, toml_number(value));
  }
  void integer(const char* key, int value) { text_ += fmt::format("{} = {}\n", key, value); }
  void flag(const char* key, bool value) { text_ += fmt::format("{} = {}\n", key, value); }
  void words(const char* key, std::string_view value) {
    text_ += fmt::format("{} = {}\n", key, toml_string(value));
  }
  void raw(std::string_view line) { text_ += line; }
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

void write_material(Lines& out, const CaseMaterial& material) {
  out.table("material");
  out.words("card", fmt::format("./{}", kResolvedMaterialName));
  out.quantity("regrind", material.regrind, D::ratio);
  out.quantity("masterbatch", material.masterbatch, D::ratio);
  out.number("regrind_flow_ratio", material.regrind_flow_ratio);
  out.number("masterbatch_flow_ratio", material.masterbatch_flow_ratio);
  out.number("viscosity_factor", material.viscosity_factor);
  out.quantity("contact_conductance", material.contact_conductance, D::conductance);
  out.words("regrind_colour", regrind_colour_name(material.regrind_colour));
}

void write_press(Lines& out, const CasePress& press) {
  out.table("press");
  if (press.card) out.words("card", fmt::format("./{}", kResolvedPressName));
  out.words("name", press.name.value());
  out.quantity("screw_diameter", press.screw_diameter.value(), D::length);
  out.quantity("stroke_max", press.stroke_max.value(), D::length);
  out.quantity("speed_max", press.speed_max.value(), D::speed);
  out.quantity("melt_pressure_max", press.melt_pressure_max.value(), D::pressure);
  out.number("intensification", press.intensification.value());
  out.quantity("clamp_force", press.clamp_force.value(), D::force);
  out.quantity("nozzle_volume", press.nozzle_volume.value(), D::volume);
  out.quantity("dry_cycle", press.dry_cycle.value(), D::time);
  out.quantity("plasticising_rate", press.plasticising_rate.value(), D::mass_rate);
  if (press.barrel_volume) out.quantity("barrel_volume", *press.barrel_volume, D::volume);
}

std::string switch_over_text(const SwitchOver& s) {
  auto text = [&s](const char* key, Dimension dim) {
    return fmt::format("switch_over = {{ {} = \"{}\" }}\n", key, format_quantity(s.value, dim));
  };
  switch (s.kind) {
    case SwitchOverKind::volume:
      return text("volume", D::ratio);
    case SwitchOverKind::position:
      return text("position", D::length);
    case SwitchOverKind::time:
      return text("time", D::time);
    case SwitchOverKind::pressure:
      return text("pressure", D::pressure);
  }
  return {};
}

template <class Steps, class First, class Second>
void write_pairs(Lines& out, const char* key, const Steps& steps, First first, Second second) {
  std::string text;
  for (const auto& step : steps) {
    text += fmt::format("{}[\"{}\", \"{}\"]", text.empty() ? "" : ", ", first(step), second(step));
  }
  if (!text.empty()) out.raw(fmt::format("{} = [{}]\n", key, text));
}

void write_process(Lines& out, const CaseProcess& p) {
  out.table("process");
  out.quantity("melt_temperature", p.melt_temperature, D::temperature);
  out.raw(fmt::format("mould_temperature = {{ fixed = \"{}\", moving = \"{}\" }}\n",
                      format_quantity(p.mould_temperature_fixed, D::temperature),
                      format_quantity(p.mould_temperature_moving, D::temperature)));
  if (p.fill_time) out.quantity("fill_time", *p.fill_time, D::time);
  if (p.injection_speed) out.quantity("injection_speed", *p.injection_speed, D::flow_rate);
  write_pairs(
      out, "speed_profile", p.speed_profile,
      [](const SpeedStep& s) { return format_quantity(s.from_share, D::ratio); },
      [](const SpeedStep& s) { return format_quantity(s.flow_rate, D::flow_rate); });
  if (p.constant_pressure) out.quantity("constant_pressure", *p.constant_pressure, D::pressure);
  out.raw(switch_over_text(p.switch_over));
  write_pairs(
      out, "holding", p.holding,
      [](const HoldingStep& s) { return format_quantity(s.pressure, D::pressure); },
      [](const HoldingStep& s) { return format_quantity(s.duration, D::time); });
  out.quantity("injection_pressure_max", p.injection_pressure_max.value(), D::pressure);
  out.number("entrance_length", p.entrance_length);
  out.flag("barrel_compressible", p.barrel_compressible);
  out.quantity("time_limit", p.time_limit, D::time);
  out.flag("isothermal", p.isothermal);
}

void write_air(Lines& out, const CaseAir& air) {
  out.table("air");
  out.flag("enabled", air.enabled);
  out.quantity("parting_line_gap", air.parting_line_gap, D::length);
  out.quantity("parting_line_land", air.parting_line_land, D::length);
  out.number("vent_depth_factor", air.vent_depth_factor);
  out.quantity("smallest_pocket", air.smallest_pocket, D::volume);
  out.quantity("scorch_temperature", air.scorch_temperature, D::temperature);
  out.quantity("scorch_time", air.scorch_time, D::time);
  out.quantity("pressure_limit", air.pressure_limit, D::pressure);
}

void write_limits(Lines& out, const Limits& limits) {
  out.table("limits");
  out.quantity("pressure_share", limits.pressure_share, D::ratio);
  out.quantity("clamp_share", limits.clamp_share, D::ratio);
  out.quantity("fill_time_spread", limits.fill_time_spread, D::ratio);
  out.quantity("side_weight", limits.side_weight, D::ratio);
  if (limits.gate_shear_rate)
    out.quantity("gate_shear_rate", *limits.gate_shear_rate, D::shear_rate);
  out.quantity("weld_cooling", limits.weld_cooling, D::temperature_difference);
  out.quantity("residence_time", limits.residence_time, D::time);
  out.quantity("regrind", limits.regrind, D::ratio);
  out.quantity("draft", limits.draft, D::angle_in_degrees);
}

void write_accuracy(Lines& out, const CaseAccuracy& a) {
  out.table("accuracy");
  out.words("level", a.level);
  out.quantity("element_size", a.element_size.value(), D::length);
  out.integer("layers", a.layers.value());
  out.integer("volume_steps", a.volume_steps.value());
  out.number("grading", a.grading.value());
  out.number("tolerance", a.tolerance.value());
  out.integer("snapshots", a.snapshots.value());
}

std::string solid_name(const CaseSolid& solid) {
  return kResolvedSolidStem + solid.file.extension().string();
}

std::string numbers_text(std::initializer_list<double> values) {
  std::string text;
  for (const double v : values) text += (text.empty() ? "" : ", ") + toml_number(v);
  return "[" + text + "]";
}

void write_solid(Lines& out, const CaseSolid& solid) {
  out.words("solid", fmt::format("./{}", solid_name(solid)));
  if (const auto& d = solid.draw) out.raw("draw = " + numbers_text({d->x, d->y, d->z}) + "\n");
  out.quantity("undercut_tolerance", solid.undercut_tolerance, D::length);
  out.quantity("tessellation", solid.tessellation, D::length);
  if (solid.injection_written || solid.injection_diameter > 0.0) out.table("injection");
  if (const auto& at = solid.injection_written)
    out.raw("at = " + numbers_text({at->x, at->y}) + "\n");
  if (solid.injection_diameter > 0.0) out.quantity("diameter", solid.injection_diameter, D::length);
  if (solid.injection_width > 0.0) out.quantity("width", solid.injection_width, D::length);
  for (std::size_t i = 0; i < solid.parts.size(); ++i) {
    const Point& at = solid.parts_written[i];
    out.raw("\n[[part]]\n");
    out.words("name", solid.parts[i].name);
    out.raw("inside = " + numbers_text({at.x, at.y}) + "\n");
    out.flag("visible", solid.parts[i].visible);
  }
}

void write_cutters(Lines& out, const std::vector<double>& cutters) {
  out.table("cutters");
  std::string text;
  for (const double d : cutters)
    text += fmt::format("{}\"{}\"", text.empty() ? "" : ", ", format_quantity(d, D::length));
  out.raw("diameters = [" + text + "]\n");
}

// The copy may be the file itself, when a resolved case runs into its own folder.
void copy_solid(const CaseSolid& solid, const std::filesystem::path& folder) {
  const std::filesystem::path to = folder / solid_name(solid);
  std::error_code ignored;
  if (std::filesystem::equivalent(solid.file, to, ignored)) return;
  const std::filesystem::path prepared = temporary_name(to);
  copy_bytes(solid.file, prepared, to);
  replace_atomically(prepared, to);
}

}  // namespace

std::string resolved_case_text(const BuiltSetup& built) {
  const Case& c = built.resolved;
  Lines out;
  out.raw(
      "# The case with every default written out. Images are parts of their own; the cards, and a "
      "solid, lie beside this file.\n");
  if (!c.title.empty()) out.words("title", c.title);
  write_material(out, c.material);
  out.raw(detached_conductance_line(c.cooling));
  out.raw(release_lines(c.cooling.release));
  write_press(out, c.press);
  write_process(out, c.process);
  out.raw(process_cooling_lines(c.cooling));
  out.raw(closed_lines(c.closed));
  out.raw(mould_lines(c.mould));
  if (c.cost) out.raw(cost_lines(*c.cost));
  write_air(out, c.air);
  write_limits(out, c.limits);
  write_accuracy(out, c.accuracy);
  write_cutters(out, c.cutters);
  out.table("geometry");
  out.words("unit", c.unit);
  out.words("size", c.shrinkage ? "part" : "cavity");
  if (c.shrinkage) out.quantity("shrinkage", *c.shrinkage, D::ratio);
  if (c.solid) {
    write_solid(out, *c.solid);
    out.raw(mould_text(c.layout, c.unit));
  } else {
    out.raw(layout_text(c.layout));
  }
  return out.text();
}

void write_resolved_case(const BuiltSetup& built, const std::filesystem::path& folder) {
  write_atomically(folder / kResolvedMaterialName, built.material_card_text);
  if (!built.press_card_text.empty())
    write_atomically(folder / kResolvedPressName, built.press_card_text);
  if (built.resolved.solid) copy_solid(*built.resolved.solid, folder);
  write_atomically(folder / kResolvedCaseName, resolved_case_text(built));
}

}  // namespace firstshot
