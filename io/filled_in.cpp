#include "io/filled_in.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "io/case_keys.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

double level_default(const std::string& key, const std::string& level) {
  const auto at =
      std::find(kAccuracyLevels.begin(), kAccuracyLevels.end(), level) - kAccuracyLevels.begin();
  const KeySpec& spec = *find_key("accuracy." + key);
  const std::string& text = spec.by_level.at(static_cast<std::size_t>(at));
  return spec.kind == ValueKind::quantity ? parse_quantity(text, spec.dimension) : std::stod(text);
}

int whole_default(const std::string& key, const std::string& level) {
  return static_cast<int>(std::lround(level_default(key, level)));
}

CasePress written_press(const Press& press, const std::optional<std::string>& card) {
  return {card,
          press.name,
          press.screw_diameter,
          press.stroke_max,
          press.speed_max,
          press.melt_pressure_max,
          press.intensification,
          press.clamp_force,
          press.nozzle_volume,
          press.dry_cycle,
          press.plasticising_rate,
          press.barrel_volume > 0.0 ? std::optional(press.barrel_volume) : std::nullopt};
}

}  // namespace

Press press_of(const CasePress& written, const Press& card) {
  Press press = card;
  press.name = written.name.value_or(card.name.empty() ? "unnamed press" : card.name);
  press.screw_diameter = written.screw_diameter.value_or(card.screw_diameter);
  press.stroke_max = written.stroke_max.value_or(card.stroke_max);
  press.speed_max = written.speed_max.value_or(card.speed_max);
  press.melt_pressure_max = written.melt_pressure_max.value_or(card.melt_pressure_max);
  press.intensification = written.intensification.value_or(card.intensification);
  press.clamp_force = written.clamp_force.value_or(card.clamp_force);
  press.nozzle_volume = written.nozzle_volume.value_or(card.nozzle_volume);
  press.dry_cycle = written.dry_cycle.value_or(card.dry_cycle);
  press.plasticising_rate = written.plasticising_rate.value_or(card.plasticising_rate);
  press.barrel_volume = written.barrel_volume.value_or(card.barrel_volume);
  return press;
}

CaseAccuracy resolved_accuracy(const CaseAccuracy& written) {
  CaseAccuracy a = written;
  a.element_size = written.element_size.value_or(level_default("element_size", a.level));
  a.grading = written.grading.value_or(level_default("grading", a.level));
  a.layers = written.layers.value_or(whole_default("layers", a.level));
  a.volume_steps = written.volume_steps.value_or(whole_default("volume_steps", a.level));
  a.tolerance = written.tolerance.value_or(level_default("tolerance", a.level));
  a.snapshots = written.snapshots.value_or(whole_default("snapshots", a.level));
  return a;
}

Case filled_in(const Case& c, const Cards& cards) {
  Case out = c;
  const Press press = press_of(c.press, cards.press);
  out.accuracy = resolved_accuracy(c.accuracy);
  out.press = written_press(press, c.press.card);
  out.process.injection_pressure_max =
      c.process.injection_pressure_max.value_or(press.melt_pressure_max);
  const double ejection = cards.material.ejection_temperature;
  if (!out.cooling.part_temperature) out.cooling.part_temperature = ejection;
  if (!out.cooling.runner_temperature) out.cooling.runner_temperature = ejection;
  return out;
}

}  // namespace firstshot
