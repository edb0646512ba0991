#include "io/case.hpp"

#include <algorithm>
#include <functional>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "io/case_geometry.hpp"
#include "io/case_table.hpp"
#include "io/solid_file.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

CaseMaterial read_material(const CaseTable& table) {
  CaseMaterial material;
  material.card = table.text("card");
  material.regrind = table.quantity("regrind");
  material.masterbatch = table.quantity("masterbatch");
  material.regrind_flow_ratio = table.number("regrind_flow_ratio");
  material.masterbatch_flow_ratio = table.number("masterbatch_flow_ratio");
  material.viscosity_factor = table.number("viscosity_factor");
  material.contact_conductance = table.quantity("contact_conductance");
  material.regrind_colour = regrind_colour_from(table.word("regrind_colour"));
  if (material.regrind + material.masterbatch > 1.0) {
    throw table.error("masterbatch",
                      "regrind and masterbatch together are more than 100 % of the blend");
  }
  return material;
}

CasePress read_press(const CaseTable& table) {
  CasePress press;
  press.card = table.text_if("card");
  press.name = table.text_if("name");
  press.screw_diameter = table.quantity_if("screw_diameter");
  press.stroke_max = table.quantity_if("stroke_max");
  press.speed_max = table.quantity_if("speed_max");
  press.melt_pressure_max = table.quantity_if("melt_pressure_max");
  press.intensification = table.number_if("intensification");
  press.clamp_force = table.quantity_if("clamp_force");
  press.nozzle_volume = table.quantity_if("nozzle_volume");
  press.dry_cycle = table.quantity_if("dry_cycle");
  press.plasticising_rate = table.quantity_if("plasticising_rate");
  press.barrel_volume = table.quantity_if("barrel_volume");
  return press;
}

std::vector<SpeedStep> read_speed_profile(const CaseTable& table) {
  std::vector<SpeedStep> steps;
  if (!table.has("speed_profile")) return steps;
  for (const auto& [share, flow] : table.pairs("speed_profile")) steps.push_back({share, flow});
  const auto& items = table.node("speed_profile")->items;
  if (steps.front().from_share != 0.0) {
    throw table.file().error(items.front().place, table.shown_key("speed_profile"),
                             "the first entry must start at \"0 %\"");
  }
  for (std::size_t i = 1; i < steps.size(); ++i) {
    if (steps[i].from_share > steps[i - 1].from_share) continue;
    throw table.file().error(items[i].place, table.shown_key("speed_profile"),
                             "the shares of the shot volume must rise from entry to entry");
  }
  return steps;
}

SwitchOver read_switch_over(const CaseTable& table) {
  constexpr double kDefaultShare = 0.98;  // common practice, no source
  if (const auto v = table.quantity_if("volume")) return {SwitchOverKind::volume, *v};
  if (const auto v = table.quantity_if("position")) return {SwitchOverKind::position, *v};
  if (const auto v = table.quantity_if("time")) return {SwitchOverKind::time, *v};
  if (const auto v = table.quantity_if("pressure")) return {SwitchOverKind::pressure, *v};
  return {SwitchOverKind::volume, kDefaultShare};
}

CaseProcess read_process(const CaseTable& table) {
  CaseProcess process;
  process.melt_temperature = table.quantity("melt_temperature");
  const TomlNode* mould = table.node("mould_temperature");
  if (mould != nullptr && mould->kind == NodeKind::table) {
    const CaseTable halves = table.table("mould_temperature");
    process.mould_temperature_fixed = halves.quantity("fixed");
    process.mould_temperature_moving = halves.quantity("moving");
  } else {
    process.mould_temperature_fixed = table.quantity("mould_temperature");
    process.mould_temperature_moving = process.mould_temperature_fixed;
  }
  process.fill_time = table.quantity_if("fill_time");
  process.speed_profile = read_speed_profile(table);
  process.injection_speed = table.quantity_if("injection_speed");
  process.constant_pressure = table.quantity_if("constant_pressure");
  process.switch_over = read_switch_over(table.table("switch_over"));
  if (table.has("holding")) {
    for (const auto& [p, t] : table.pairs("holding")) process.holding.push_back({p, t});
  }
  process.injection_pressure_max = table.quantity_if("injection_pressure_max");
  process.entrance_length = table.number("entrance_length");
  process.barrel_compressible = table.flag("barrel_compressible");
  process.time_limit = table.quantity("time_limit");
  process.isothermal = table.flag("isothermal");
  return process;
}

CaseAir read_air(const CaseTable& table) {
  CaseAir air;
  air.enabled = table.flag("enabled");
  air.parting_line_gap = table.quantity("parting_line_gap");
  air.parting_line_land = table.quantity("parting_line_land");
  air.vent_depth_factor = table.number("vent_depth_factor");
  air.smallest_pocket = table.quantity("smallest_pocket");
  air.scorch_temperature = table.quantity("scorch_temperature");
  air.scorch_time = table.quantity("scorch_time");
  air.pressure_limit = table.quantity("pressure_limit");
  return air;
}

Limits read_limits(const CaseTable& table) {
  return {table.quantity("pressure_share"),
          table.quantity("clamp_share"),
          table.quantity("fill_time_spread"),
          table.quantity("side_weight"),
          table.quantity_if("gate_shear_rate"),
          table.quantity("weld_cooling"),
          table.quantity("residence_time"),
          table.quantity("regrind"),
          table.quantity("draft")};
}

std::vector<Vent> read_vents(const CaseTable& root, const std::string& unit) {
  std::vector<Vent> vents;
  for (const CaseTable& table : root.tables("vent"))
    vents.push_back({table.points("at", unit), table.quantity("width"), table.quantity("depth"),
                     table.quantity("land"), table.origin()});
  return vents;
}

std::vector<EjectorPin> read_ejectors(const CaseTable& root, const std::string& unit) {
  std::vector<EjectorPin> pins;
  std::set<std::string> names;
  for (const CaseTable& table : root.tables("ejector")) {
    const std::string name = table.text_if("name").value_or(fmt::format("pin {}", pins.size() + 1));
    if (!names.insert(name).second)
      throw table.error(table.has("name") ? "name" : "at",
                        fmt::format("another ejector is called \"{}\"; names must differ", name));
    pins.push_back({name, table.point("at", unit), table.quantity("diameter"),
                    table.quantity("clearance"), table.quantity("land"), table.origin()});
  }
  return pins;
}

CaseAccuracy read_accuracy(const CaseTable& table) {
  CaseAccuracy accuracy;
  accuracy.level = table.word("level");
  accuracy.element_size = table.quantity_if("element_size");
  accuracy.layers = table.integer_if("layers");
  accuracy.volume_steps = table.integer_if("volume_steps");
  accuracy.tolerance = table.number_if("tolerance");
  accuracy.grading = table.number_if("grading");
  accuracy.snapshots = table.integer_if("snapshots");
  return accuracy;
}

void read_injection(const CaseTable& table, const std::string& unit, Layout& layout) {
  layout.injection_origin = table.origin();
  if (layout.sprue) {
    for (const char* key : {"diameter", "width"}) {
      if (table.has(key))
        throw table.error(key, "has no meaning with a sprue; its foot is the mouth");
    }
    layout.injection = layout.sprue->at;
    if (table.has("at") && !(table.point("at", unit) == layout.sprue->at)) {
      throw table.error(
          "at", "the melt enters at the sprue; leave this key out or give the place of the sprue");
    }
    return;
  }
  layout.injection = table.point("at", unit);
  layout.injection_diameter = table.quantity_if("diameter").value_or(0.0);
  layout.injection_width = table.quantity_if("width").value_or(0.0);
}

void read_shape(const CaseTable& root, const std::function<void(double)>& progress, Case& c) {
  require_one_geometry(root);
  if (root.table("geometry").has("solid")) {
    c.solid = read_case_solid(root, progress);
    c.unit = c.solid->read->unit;
    c.layout.vents = read_vents(root, c.unit);
    c.layout.ejectors = read_ejectors(root, c.unit);
    return;
  }
  CaseGeometry geometry = read_geometry(root);
  c.layout = std::move(geometry.layout);
  c.notes = std::move(geometry.notes);
  read_injection(root.table("injection"), geometry.unit, c.layout);
  c.layout.vents = read_vents(root, geometry.unit);
  c.layout.ejectors = read_ejectors(root, geometry.unit);
  c.unit = root.table("geometry").has("unit") ? root.table("geometry").word("unit") : geometry.unit;
}

std::optional<double> read_shrinkage(const CaseTable& geometry) {
  const std::optional<double> shrinkage = geometry.quantity_if("shrinkage");
  if (geometry.word("size") == "part") {
    if (!shrinkage)
      throw geometry.error("size",
                           "\"part\" needs geometry.shrinkage, the allowance by which the "
                           "cavity is larger, such as \"0.5 %\"");
    return shrinkage;
  }
  if (shrinkage)
    throw geometry.error("shrinkage", "has a meaning only with geometry.size = \"part\"");
  return std::nullopt;
}

Case case_from(TomlFile file, const std::function<void(double)>& progress) {
  Case c;
  c.source = std::make_shared<const TomlFile>(std::move(file));
  check_keys(*c.source, c.source->root(), "", "");
  const CaseTable root(*c.source, &c.source->root(), "", "");
  c.title = root.text("title");
  read_shape(root, progress, c);
  c.shrinkage = read_shrinkage(root.table("geometry"));
  c.material = read_material(root.table("material"));
  c.press = read_press(root.table("press"));
  c.process = read_process(root.table("process"));
  c.closed = read_case_closed(root);
  c.cooling = read_case_cooling(root);
  c.mould = read_case_mould(root);
  c.cost = read_case_cost(root);
  c.air = read_air(root.table("air"));
  c.limits = read_limits(root.table("limits"));
  c.accuracy = read_accuracy(root.table("accuracy"));
  c.cutters = root.table("cutters").quantities("diameters");
  std::sort(c.cutters.begin(), c.cutters.end(), std::greater<>());
  return c;
}

}  // namespace

Case read_case(const fs::path& path, const std::function<void(double)>& progress) {
  return case_from(TomlFile::read(path), progress);
}

Case read_case(const fs::path& path, std::span<const CaseOverride> changes,
               const std::function<void(double)>& progress) {
  TomlFile file = TomlFile::read(path);
  apply_overrides(file, changes);
  return case_from(std::move(file), progress);
}

Case read_case_text(const std::string& text, const std::string& name, const fs::path& directory) {
  return case_from(TomlFile::parse(text, name, directory), {});
}

double cavity_scale(const Case& c) { return 1.0 / (1.0 - c.shrinkage.value_or(0.0)); }

double unit_length(const Case& c) {
  return cavity_scale(c) * convert_quantity(1.0, c.unit, Dimension::length);
}

void set_accuracy_level(Case& c, std::string_view level) {
  if (std::find(kAccuracyLevels.begin(), kAccuracyLevels.end(), level) == kAccuracyLevels.end()) {
    throw Error(fmt::format("unknown accuracy level \"{}\"; allowed: {}", level,
                            fmt::join(kAccuracyLevels, ", ")));
  }
  c.accuracy.level = level;
}

CaseError case_error_at(const Case& c, std::string_view key, const std::string& what) {
  const std::string name(key);
  if (!c.source) return {{"case", 0, 0, name, ""}, what};
  const TomlNode* node = &c.source->root();
  Place place;
  for (std::string_view rest = key; node != nullptr && !rest.empty();) {
    const std::size_t dot = rest.find('.');
    node = node->find(rest.substr(0, dot));
    if (node != nullptr) place = node->place;
    rest = dot == std::string_view::npos ? std::string_view() : rest.substr(dot + 1);
  }
  return c.source->error(place, name, what);
}

}  // namespace firstshot
