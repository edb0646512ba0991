#include "io/build_setup.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

#include <fmt/format.h>

#include "io/case_cycle.hpp"
#include "io/case_keys.hpp"
#include "io/filled_in.hpp"
#include "io/material_card.hpp"
#include "io/press_card.hpp"
#include "io/solid_file.hpp"
#include "io/solid_notes.hpp"
#include "io/units.hpp"
#include "mesh/build_model.hpp"
#include "mesh/plane.hpp"
#include "solver/flow/air_outlets.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr double kLargestTrustedRatio =
    3.0;  // of melt flow rates in the logarithmic rule [Nielsen1977]

std::string text_in(double value, Dimension dim) {
  // Four digits are enough for a sentence; through their decimal text, so that no others appear.
  return format_quantity(std::stod(fmt::format("{:.4g}", value)), dim);
}

fs::path card_file(const Case& c, const std::string& key, const std::string& card,
                   const std::vector<fs::path>& folders) {
  if (is_card_path(card)) {
    return ((c.source ? c.source->directory() : fs::path()) / fs::path(card)).lexically_normal();
  }
  const fs::path file = find_card(card, folders);
  if (!file.empty()) return file;
  const std::vector<std::string> names = card_names(folders);
  const std::string near = nearest_word(card, names);
  throw case_error_at(
      c, key,
      fmt::format(
          "there is no card \"{}\"; {}", card,
          !near.empty() ? fmt::format("the nearest name is \"{}\"", near)
          : names.empty()
              ? "no cards come with this program; give the path of a file, like \"./card.toml\""
              : fmt::format("known cards: {}", fmt::join(names, ", "))));
}

// A file that cannot be opened is a fault of the key that names it.
TomlFile open_card(const Case& c, const std::string& key, const fs::path& file) {
  try {
    return TomlFile::read(file);
  } catch (const CaseError& e) {
    if (e.line() > 0) throw;
    throw case_error_at(c, key, fmt::format("{} ({})", e.reason(), file.string()));
  }
}

double total_volume(const Model& model) {
  const std::vector<double> regions = region_volumes(model);
  const std::vector<double> channels = channel_volumes(model);
  return std::accumulate(channels.begin(), channels.end(),
                         std::accumulate(regions.begin(), regions.end(), 0.0));
}

double screw_area(const Press& press) {
  return std::numbers::pi / 4.0 * press.screw_diameter * press.screw_diameter;
}

void check_temperature(const Case& c, const std::string& key, double value, double low,
                       double high) {
  if (value >= low && value <= high) return;
  throw case_error_at(
      c, key,
      fmt::format("{} lies outside the valid range of the material card; allowed: from {} to {}",
                  format_quantity(value, Dimension::temperature),
                  format_quantity(low, Dimension::temperature),
                  format_quantity(high, Dimension::temperature)));
}

void check_temperatures(const Case& c, const Material& material) {
  const CaseProcess& p = c.process;
  check_temperature(c, "process.melt_temperature", p.melt_temperature,
                    material.melt_temperature_min, material.melt_temperature_max);
  for (const auto& [key, value] :
       {std::pair("process.mould_temperature.fixed", p.mould_temperature_fixed),
        std::pair("process.mould_temperature.moving", p.mould_temperature_moving)}) {
    const bool one_value = p.mould_temperature_fixed == p.mould_temperature_moving;
    check_temperature(c, one_value ? "process.mould_temperature" : key, value,
                      material.mould_temperature_min, material.mould_temperature_max);
    if (value >= p.melt_temperature) {
      throw case_error_at(
          c, key, "the mould is as hot as the melt; allowed: less than the melt temperature");
    }
  }
}

void check_pressures(const Case& c, const Process& process, const Press& press) {
  auto check = [&c](const std::string& key, double value, double limit, const std::string& whose) {
    if (value <= limit) return;
    throw case_error_at(
        c, key,
        fmt::format("{} is more than {}; allowed: at most {}", text_in(value, Dimension::pressure),
                    whose, text_in(limit, Dimension::pressure)));
  };
  check("process.injection_pressure_max", process.injection_pressure_max, press.melt_pressure_max,
        "the press can give");
  for (const HoldingStep& step : process.holding) {
    check("process.holding", step.pressure, press.melt_pressure_max, "the press can give");
  }
  double held = 0.0;
  for (const HoldingStep& step : process.holding) held += step.duration;
  if (held > longest_holding)
    throw case_error_at(
        c, "process.holding",
        fmt::format("the steps take {} in all; allowed: at most {}", text_in(held, Dimension::time),
                    text_in(longest_holding, Dimension::time)));
  if (process.switch_over.kind == SwitchOverKind::pressure) {
    check("process.switch_over.pressure", process.switch_over.value, process.injection_pressure_max,
          "the limit of the injection pressure, so it is never reached");
  }
}

std::vector<SpeedStep> speed_of(const CaseProcess& written, double volume) {
  if (!written.speed_profile.empty()) return written.speed_profile;
  if (written.injection_speed) return {{0.0, *written.injection_speed}};
  // With a constant pressure no speed is used; one stands in so that the profile is never empty.
  const double time = written.fill_time.value_or(1.0);
  return {{0.0, volume / time}};
}

// A press goes no faster than it can; that is a finding, not an error.
void limit_speed(std::vector<SpeedStep>& speed, const Press& press,
                 std::vector<std::string>& notes) {
  const double most = press.speed_max * screw_area(press);
  for (SpeedStep& step : speed) {
    if (step.flow_rate <= most) continue;
    notes.push_back(fmt::format(
        "The settings ask for {} from {} of the shot on; the press \"{}\" gives {} at most, "
        "which is used instead.",
        text_in(step.flow_rate, Dimension::flow_rate), text_in(step.from_share, Dimension::ratio),
        press.name, text_in(most, Dimension::flow_rate)));
    step.flow_rate = most;
  }
}

void note_capacity(double volume, const Press& press, std::vector<std::string>& notes) {
  const double capacity = press.stroke_max * screw_area(press);
  if (volume <= capacity) return;
  notes.push_back(fmt::format(
      "The shot takes {} of melt, but the press \"{}\" has a stroke for {} only.",
      text_in(volume, Dimension::volume), press.name, text_in(capacity, Dimension::volume)));
}

void note_blend(const CaseMaterial& material, std::vector<std::string>& notes) {
  const double ratio = blend_flow_ratio(material);
  if (ratio != 1.0) {
    notes.push_back(fmt::format(
        "Regrind and masterbatch raise the melt flow rate {:.3g} times (logarithmic rule, "
        "second-hand and unconfirmed; flow ratios {:.3g} and {:.3g}).",
        ratio, material.regrind_flow_ratio, material.masterbatch_flow_ratio));
  }
  const std::vector<std::pair<double, double>> shares = {
      {material.regrind, material.regrind_flow_ratio},
      {material.masterbatch, material.masterbatch_flow_ratio}};
  for (const auto& [share, flow_ratio] : shares) {
    if (share == 0.0 || std::max(flow_ratio, 1.0 / flow_ratio) <= kLargestTrustedRatio) continue;
    notes.push_back(fmt::format(
        "A melt flow rate {:.3g} times that of fresh material lies outside the range of the "
        "blending rule, which holds up to about {:.0f} times.",
        flow_ratio, kLargestTrustedRatio));
  }
}

Process process_of(const Case& c, const Press& press, double volume,
                   std::vector<std::string>& notes) {
  const CaseProcess& written = c.process;
  Process process;
  process.melt_temperature = written.melt_temperature;
  process.mould_temperature_fixed = written.mould_temperature_fixed;
  process.mould_temperature_moving = written.mould_temperature_moving;
  process.speed = speed_of(written, volume);
  process.injection_pressure_max = written.injection_pressure_max.value_or(press.melt_pressure_max);
  process.constant_pressure = written.constant_pressure.value_or(0.0);
  process.switch_over = written.switch_over;
  process.holding = written.holding;
  process.contact_conductance = c.material.contact_conductance;
  process.entrance_length = written.entrance_length;
  process.barrel_compressible = written.barrel_compressible;
  process.time_limit = written.time_limit;
  check_pressures(c, process, press);
  if (process.constant_pressure == 0.0) limit_speed(process.speed, press, notes);
  return process;
}

AirSettings air_of(const Case& c) {
  AirSettings air;
  air.enabled = c.air.enabled;
  air.parting_line_gap = c.air.parting_line_gap;
  air.parting_line_land = c.air.parting_line_land;
  air.vent_depth_factor = c.air.vent_depth_factor;
  air.smallest_pocket = c.air.smallest_pocket;
  air.scorch_temperature = c.air.scorch_temperature;
  air.scorch_time = c.air.scorch_time;
  air.pressure_limit = c.air.pressure_limit;
  air.vents = c.layout.vents;
  for (Vent& vent : air.vents)
    for (Point& at : vent.at) at = cavity_scale(c) * at;
  return air;
}

Accuracy accuracy_of(const CaseAccuracy& a) {
  return {a.level, a.layers.value(), a.volume_steps.value(), a.tolerance.value(),
          a.snapshots.value()};
}

void mesh_solid(const CaseSolid& solid, const BuildProgress& progress, const MeshOptions& mesh,
                BuiltSetup& built) {
  SolidOptions options;
  options.mesh = mesh;
  options.draw = solid.draw;
  options.undercut_tolerance = solid.undercut_tolerance;
  options.injection = solid.injection;
  options.injection_diameter = solid.injection_diameter;
  options.injection_width = solid.injection_width;
  options.parts = solid.parts;
  options.progress = progress;
  built.solid.emplace();
  built.setup.model = build_solid_model(solid.read->shell, options, &*built.solid);
  if (!solid.draw) built.resolved.solid->draw = built.solid->frame.z;
  built.notes.insert(built.notes.end(), solid.read->notes.begin(), solid.read->notes.end());
  for (std::string& note : solid_notes(*built.solid)) built.notes.push_back(std::move(note));
}

// From the measures of the part to those of the cavity.
void enlarge(const Case& c, BuiltSetup& built) {
  const double factor = cavity_scale(c);
  scale(built.setup.model, factor);
  if (built.solid) scale(*built.solid, factor);
  built.notes.push_back(fmt::format(
      "The geometry is the part; the cavity is {:.4f} times as large for {} of shrinkage. "
      "Coordinates "
      "in the files for ParaView are those of the input, places in mm elsewhere those of the "
      "cavity.",
      factor, format_quantity(*c.shrinkage, Dimension::ratio)));
}

void mesh_geometry(const Case& c, const BuildProgress& progress, BuiltSetup& built) {
  MeshOptions options;
  options.element_size = built.resolved.accuracy.element_size.value();
  options.grading = built.resolved.accuracy.grading.value();
  if (c.solid) {
    mesh_solid(*c.solid, progress, options, built);
    close_solid(c, built);
  } else {
    built.setup.model = build_model(c.layout, options);
  }
  if (c.shrinkage) enlarge(c, built);
}

}  // namespace

double blend_flow_ratio(const CaseMaterial& material) {
  if (material.regrind == 0.0 && material.masterbatch == 0.0) return 1.0;
  return std::exp(material.regrind * std::log(material.regrind_flow_ratio) +
                  material.masterbatch * std::log(material.masterbatch_flow_ratio));
}

Cards read_cards(const Case& c, const CardFolders& folders) {
  Cards cards;
  const TomlFile material = open_card(
      c, "material.card", card_file(c, "material.card", c.material.card, folders.materials));
  cards.material = read_material_card(material);
  cards.material_text = material.text();
  if (c.press.card) {
    const TomlFile press =
        open_card(c, "press.card", card_file(c, "press.card", *c.press.card, folders.presses));
    cards.press = read_press_card(press);
    cards.press_text = press.text();
  }
  return cards;
}

BuiltSetup build_setup(const Case& c, const Cards& cards, const BuildProgress& progress) {
  BuiltSetup built;
  Setup& setup = built.setup;
  check_temperatures(c, cards.material);
  built.notes = c.notes;
  built.resolved = filled_in(c, cards);
  setup.title = c.title;
  setup.material = cards.material;
  const double flow_ratio = blend_flow_ratio(c.material);
  const double viscosity_factor = c.material.viscosity_factor / flow_ratio;
  if (viscosity_factor != 1.0)
    setup.material.viscosity = scaled(cards.material.viscosity, viscosity_factor);
  note_blend(c.material, built.notes);
  setup.press = press_of(c.press, cards.press);
  setup.accuracy = accuracy_of(built.resolved.accuracy);
  setup.isothermal = c.process.isothermal;
  const Case open = opened(c, built.notes);
  mesh_geometry(open, progress, built);
  setup.air = air_of(open);
  setup.ejectors = open.layout.ejectors;
  for (EjectorPin& pin : setup.ejectors) pin.at = cavity_scale(c) * pin.at;
  setup.limits = c.limits;
  (void)air_outlets(setup);  // a vent that lies nowhere is an error
  const double volume = total_volume(setup.model);
  setup.process = process_of(c, setup.press, volume, built.notes);
  note_capacity(volume, setup.press, built.notes);
  if (!c.press.card)
    built.notes.push_back("No press card is named; values not given are those of a small press.");
  built.material_card_text = cards.material_text;
  built.press_card_text = cards.press_text;
  build_cycle(c, built);
  return built;
}

BuiltSetup build_setup(const Case& c, const CardFolders& folders, const BuildProgress& progress) {
  return build_setup(c, read_cards(c, folders), progress);
}

}  // namespace firstshot
