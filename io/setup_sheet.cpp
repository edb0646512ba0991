#include "io/setup_sheet.hpp"

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double mm = 1e-3, MPa = 1e6, bar = 1e5, kN = 1e3, cm3 = 1e-6, gram = 1e-3;
constexpr double zero_celsius = 273.15, minute = 60.0, percent = 0.01;

double celsius(double kelvin) { return kelvin - zero_celsius; }

std::string gauges(const GaugePair& p) {
  return fmt::format("{:6.1f} MPa ({:4.0f} bar) of the melt = {:5.2f} MPa ({:3.0f} bar) hydraulic",
                     p.melt / MPa, p.melt / bar, p.hydraulic / MPa, p.hydraulic / bar);
}

std::string heading(const char* text) { return fmt::format("\n{}\n", text); }
std::string row(const char* name, const std::string& value) {
  return fmt::format("  {:<26}{}\n", name, value);
}

std::string temperatures(const Result& r, const PressSettings& s) {
  std::string zones;
  for (std::size_t k = 0; k + 1 < s.zones.size(); ++k)
    zones += fmt::format("{}{:.0f}", k == 0 ? "" : " / ", celsius(s.zones[k]));
  std::string text = heading("TEMPERATURES (degC)");
  text += row("zones, hopper to head", zones + "  (a profile to begin with, common practice)");
  text += row("nozzle", fmt::format("{:.0f}", celsius(s.zones.back())));
  text +=
      row("melt, measured", fmt::format("{:.0f}  (into an insulated cup; correct the zones by it)",
                                        celsius(s.melt_temperature)));
  text += row("mould face, fixed half", fmt::format("{:.1f}", celsius(s.surface_fixed)));
  text += row("mould face, moving half", fmt::format("{:.1f}", celsius(s.surface_moving)));
  if (!r.cycle->mould.follows) return text;
  const MouldBalance& m = r.cycle->mould;
  text += row("heat to the water",
              fmt::format("{:.0f} W fixed, {:.0f} W moving; it warms by {:.1f} "
                          "and {:.1f} K",
                          m.fixed.power, m.moving.power, m.fixed.water_rise, m.moving.water_rise));
  text += row("warming up",
              fmt::format("about {} shots until the face is within 1 K", m.shots_to_warm));
  return text;
}

std::string injection(const Setup& setup, const PressSettings& s) {
  std::string text = heading("INJECTION (screw positions count from the foremost one)");
  text += row("dosing stops at", fmt::format("{:.1f} mm", s.dosing_position / mm));
  for (const ScrewSpeedStep& step : s.speeds)
    text += row("speed",
                fmt::format("{:5.1f} mm/s from {:.1f} to {:.1f} mm  ({:.1f} cm3/s)",
                            step.speed / mm, step.from / mm, step.to / mm, step.flow_rate / cm3));
  if (s.speeds.empty())
    text +=
        row("pressure", gauges({setup.process.constant_pressure,
                                setup.process.constant_pressure / setup.press.intensification}));
  text += row("switch-over at", fmt::format("{:.1f} mm", s.switch_over_position / mm));
  text += row("pressure limit", gauges(s.injection_limit));
  text += row("forecast peak", gauges(s.peak));
  text += row("cushion", fmt::format("{:.1f} mm, must stay from shot to shot", s.cushion / mm));
  return text;
}

std::string holding(const PressSettings& s) {
  std::string text = heading("HOLDING");
  for (const HoldingSetting& h : s.holding)
    text += row(fmt::format("{:.1f} s", h.duration).c_str(), gauges(h.pressure));
  if (s.holding.empty()) text += row("none", "");
  return text;
}

std::string rest(const Setup& setup, const Result& r, const PressSettings& s) {
  const CycleResult& c = *r.cycle;
  std::string text = heading("DOSING (common practice, to begin with)");
  text += row("back pressure from", gauges(s.back_pressure_low));
  text += row("              to", gauges(s.back_pressure_high));
  text += row("screw", fmt::format("{:.0f} to {:.0f} 1/min; ready after about {:.1f} s",
                                   s.screw_speed_low * minute, s.screw_speed_high * minute,
                                   c.barrel.recovery));
  text += row("melt in the barrel", fmt::format("{:.1f} min", c.barrel.residence / minute));
  text += heading("COOLING, CLAMP, CYCLE");
  text += row("cooling time", fmt::format("{:.1f} s after holding ({:.1f} to {:.1f} s)",
                                          s.cooling_time, c.cool.low, c.cool.high));
  text += row("clamp force", fmt::format("{:.0f} kN; the melt opens with {:.0f} kN at most",
                                         s.clamp_force / kN, r.peak_opening_force / kN));
  text += row("cycle", fmt::format("{:.1f} s ({:.1f} to {:.1f} s)", c.total.value, c.total.low,
                                   c.total.high));
  const BlendFigures blend = blend_figures(setup.blend);
  text += heading("MATERIAL");
  text += row("card", setup.material.name);
  text += row("blend", fmt::format("{:.1f} % fresh, {:.1f} % regrind, {:.1f} % colour concentrate",
                                   blend.fresh / percent, setup.blend.regrind / percent,
                                   setup.blend.masterbatch / percent));
  text += row(
      "viscosity by the blend",
      fmt::format("{:.2f} times that of fresh material ({:.2f} to {:.2f})", blend.viscosity_factor,
                  blend.viscosity_factor_low, blend.viscosity_factor_high));
  text += row("shot", fmt::format("{:.2f} g", c.mass / gram));
  text += row("drying", "polystyrene: normally none; 2 to 3 h at 80 degC when stored wet");
  text += row("", "(processing notes of a trade supplier); other materials: ask the supplier");
  return text;
}

const char* const cautions =
    "\nBEFORE YOU SWITCH ON\n"
    "  These are starting values from a forecast with wide bands, for a qualified setter. The "
    "manual\n"
    "  of the machine, ISO 20430 and the local codes stand above this sheet.\n"
    "  - All guards shut and tested; never reach past them or bridge them.\n"
    "  - Melt is hot and can spray from nozzle and mould: face shield, gloves, long sleeves; "
    "nobody in\n"
    "    front of the nozzle while purging. Purge into a metal pan, let the cakes cool in the "
    "open.\n"
    "  - Fumes: extract them at nozzle and mould; never leave melt standing in a hot barrel. After "
    "a\n"
    "    stop purge first; above the material's limit it degrades and builds up pressure.\n"
    "  - Begin with short shots and low speed; raise both step by step while parting line and\n"
    "    pressure are watched.\n";

}  // namespace

std::string setup_sheet(const Setup& setup, const Result& result) {
  if (!result.settings || !result.cycle) return {};
  const PressSettings& s = *result.settings;
  std::string text =
      fmt::format("SETUP SHEET: {}\npress: {}\n",
                  setup.title.empty() ? "untitled case" : setup.title, setup.press.name);
  text += fmt::format(
      "Pressures stand twice: of the melt ahead of the screw, and at the hydraulic gauge\n"
      "(ratio {:g}, from the plate of the press; on an electric press only the melt pressure "
      "counts).\n",
      setup.press.intensification);
  text += temperatures(result, s) + injection(setup, s) + holding(s) + rest(setup, result, s);
  return text + cautions;
}

}  // namespace firstshot
