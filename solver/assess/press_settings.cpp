#include "solver/assess/press_settings.hpp"

#include <algorithm>
#include <numbers>

namespace firstshot {
namespace {

/// Of the barrel below the melt temperature, from the hopper to the nozzle [K].
constexpr double zone_below[] = {40.0, 25.0, 10.0, 0.0, 0.0};
constexpr double back_low = 3e6, back_high = 10e6;           // of the melt [Pa]
constexpr double rim_speed_low = 0.1, rim_speed_high = 0.3;  // of the screw [m/s]
constexpr double clamp_reserve = 1.1;

GaugePair gauges(const Press& press, double melt) { return {melt, melt / press.intensification}; }

std::vector<ScrewSpeedStep> speeds(const Setup& setup, const PressSettings& s, double area) {
  std::vector<ScrewSpeedStep> out;
  const auto& steps = setup.process.speed;
  if (setup.process.constant_pressure > 0.0) return out;
  const double stroke = s.dosing_position - s.cushion;
  for (std::size_t k = 0; k < steps.size(); ++k) {
    const double until = k + 1 < steps.size() ? steps[k + 1].from_share : 1.0;
    ScrewSpeedStep step;
    step.from = s.dosing_position - steps[k].from_share * stroke;
    step.to = std::max(s.dosing_position - until * stroke, s.switch_over_position);
    step.flow_rate = steps[k].flow_rate;
    step.speed = steps[k].flow_rate / area;
    if (step.from > step.to) out.push_back(step);
  }
  return out;
}

}  // namespace

PressSettings press_settings(const Setup& setup, const CycleResult& cycle, const State& state,
                             double peak_pressure, double opening_force) {
  const Press& press = setup.press;
  PressSettings s;
  s.melt_temperature = setup.process.melt_temperature;
  for (const double below : zone_below) s.zones.push_back(s.melt_temperature - below);
  const double area = screw_area(press);
  s.cushion = cycle.barrel.cushion;
  s.dosing_position = cycle.barrel.dosing_stroke;
  const double way = setup.process.switch_over.kind == SwitchOverKind::position
                         ? setup.process.switch_over.value
                     : setup.process.switch_over.kind == SwitchOverKind::volume
                         ? setup.process.switch_over.value * cycle.barrel.shot_volume / area
                         : std::min(state.displaced, cycle.barrel.shot_volume) / area;
  s.switch_over_position = std::max(s.dosing_position - way, 0.0);
  s.speeds = speeds(setup, s, area);
  s.injection_limit = gauges(press, setup.process.injection_pressure_max);
  s.peak = gauges(press, peak_pressure);
  s.back_pressure_low = gauges(press, back_low);
  s.back_pressure_high = gauges(press, back_high);
  const double rim = std::numbers::pi * press.screw_diameter;
  s.screw_speed_low = rim_speed_low / rim;
  s.screw_speed_high = rim_speed_high / rim;
  for (const HoldingStep& h : setup.process.holding)
    s.holding.push_back({gauges(press, h.pressure), h.duration});
  if (s.holding.empty() && cycle.hold > 0.0)
    s.holding.push_back({gauges(press, state.holding_pressure), cycle.hold});
  s.cooling_time = cycle.cool.value;
  s.clamp_force = std::min(clamp_reserve * opening_force, press.clamp_force);
  s.surface_fixed = setup.process.mould_temperature_fixed;
  s.surface_moving = setup.process.mould_temperature_moving;
  return s;
}

}  // namespace firstshot
