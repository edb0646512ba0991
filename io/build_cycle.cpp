#include <algorithm>

#include <fmt/format.h>

#include "io/build_setup.hpp"
#include "io/case_cycle.hpp"
#include "io/units.hpp"
#include "mesh/solid/close_off_solid.hpp"
#include "solver/whole/mould_start.hpp"

namespace firstshot {
namespace {

using D = Dimension;
constexpr double zero_celsius = 273.15;

Blend blend_of(const CaseMaterial& m) {
  return {m.regrind, m.masterbatch, m.regrind_flow_ratio, m.masterbatch_flow_ratio,
          m.regrind_colour};
}

void check_ejection(const Case& c, const Setup& setup) {
  const auto check = [&](const char* key, double limit) {
    const double melt = setup.process.melt_temperature;
    const double mould =
        std::max(setup.process.mould_temperature_fixed, setup.process.mould_temperature_moving);
    if (limit > mould && limit < melt) return;
    throw case_error_at(
        c, key,
        fmt::format("nothing can be ejected at {:.1f} degC from a mould face at {:.1f} degC and "
                    "melt at {:.1f} degC; allowed: more than the mould, less than the melt",
                    limit - zero_celsius, mould - zero_celsius, melt - zero_celsius));
  };
  check("process.ejection_temperature", setup.cooling.parts.temperature);
  check("process.runner_ejection_temperature", setup.cooling.runners.temperature);
}

/// Moulding faces that follow from the cooling channels.
void follow_channels(const Case& c, BuiltSetup& built) {
  Setup& setup = built.setup;
  if (!setup.mould.fixed || setup.isothermal || !(setup.process.contact_conductance > 0.0)) return;
  MouldSurfaces at;
  try {
    at = mould_surfaces(setup);
  } catch (const Error& e) {
    throw case_error_at(c, "mould.channel", e.what());
  }
  const Material& m = setup.material;
  const double low = std::min(at.fixed, at.moving), high = std::max(at.fixed, at.moving);
  if (low < m.mould_temperature_min || high > m.mould_temperature_max)
    throw case_error_at(
        c, "mould.channel.coolant_temperature",
        fmt::format("the moulding face comes to {:.1f} degC, outside the valid range of the "
                    "material card; allowed: from {} to {}",
                    (low < m.mould_temperature_min ? low : high) - zero_celsius,
                    format_quantity(m.mould_temperature_min, D::temperature),
                    format_quantity(m.mould_temperature_max, D::temperature)));
  built.notes.push_back(fmt::format(
      "The moulding faces follow from the cooling channels: {:.1f} degC (fixed half) and {:.1f} "
      "degC (moving half), mean over a cycle of about {:.0f} s; process.mould_temperature "
      "({:.1f} and {:.1f} degC) is not used.",
      at.fixed - zero_celsius, at.moving - zero_celsius, at.cycle,
      setup.process.mould_temperature_fixed - zero_celsius,
      setup.process.mould_temperature_moving - zero_celsius));
  setup.process.mould_temperature_fixed = at.fixed;
  setup.process.mould_temperature_moving = at.moving;
}

std::string closed_note(const std::vector<std::string>& gates,
                        const std::vector<std::string>& parts) {
  const auto list = [](const std::vector<std::string>& names) {
    return names.empty() ? std::string("none") : fmt::format("{}", fmt::join(names, ", "));
  };
  return fmt::format("Closed off for a trial: gates {}; parts {}.", list(gates), list(parts));
}

}  // namespace

Case opened(const Case& c, std::vector<std::string>& notes) {
  Case out = c;
  if (c.solid || (c.closed.gates.empty() && c.closed.parts.empty())) return out;
  try {
    ClosedFrame open = close_off(c.layout, c.closed);
    notes.push_back(closed_note(open.gates, open.parts));
    out.layout = std::move(open.layout);
    return out;
  } catch (const GeometryError&) {
    throw;
  } catch (const Error& e) {
    throw case_error_at(c, "closed", e.what());
  }
}

void close_solid(const Case& c, BuiltSetup& built) {
  if (!built.solid || (c.closed.gates.empty() && c.closed.parts.empty())) return;
  try {
    const ClosedPieces gone = close_off(built.setup.model, *built.solid, c.closed);
    built.notes.push_back(closed_note(gone.gates, gone.parts));
  } catch (const Error& e) {
    throw case_error_at(c, "closed", e.what());
  }
}

void build_cycle(const Case& c, BuiltSetup& built) {
  Setup& setup = built.setup;
  const CaseCooling& written = built.resolved.cooling;
  setup.cooling.detached_conductance = written.detached_conductance;
  setup.cooling.parts = {written.part_criterion, *written.part_temperature};
  setup.cooling.runners = {written.runner_criterion, *written.runner_temperature};
  setup.cooling.time = written.time.value_or(-1.0);
  setup.cooling.eject_time = written.eject_time;
  setup.release = written.release;
  if (built.solid) setup.walls = built.solid->walls;
  setup.mould = c.mould;
  setup.blend = blend_of(c.material);
  setup.cost = c.cost;
  if (!setup.isothermal && setup.process.contact_conductance > 0.0) check_ejection(c, setup);
  follow_channels(c, built);
}

}  // namespace firstshot
