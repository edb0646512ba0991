#include "tools/cli/balance_report.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "solver/assess/frame_figures.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;
constexpr double mm = 1e-3, um = 1e-6, MPa = 1e6, gram = 1e-3;

const char* role_of(Role role) { return role == Role::gate ? "gate" : "runner"; }
const char* measure_of(const SizeChange& c) { return c.depth ? "depth" : "width"; }

std::string verb_of(const SizeChange& c) {
  if (c.depth) return c.to > c.from ? "deepen" : "make shallower";
  return c.to > c.from ? "widen" : "narrow";
}

bool has_spread(const BalanceRun& r) { return r.parts > 1 && r.shorts == 0; }

Json run_json(const BalanceRun& r) {
  // What is not full has no time, and between parts that are not all full there is no spread.
  const auto if_known = [](bool known, double value) { return known ? Json(value) : Json(); };
  return {{"nearly_full_spread_s", if_known(has_spread(r), r.spread)},
          {"fill_time_spread_s", if_known(has_spread(r), r.corners)},
          {"fill_time_s", if_known(r.shorts == 0, r.fill)},
          {"peak_pressure_MPa", r.pressure / MPa},
          {"mass_g", r.mass / gram},
          {"air_caught", r.caught},
          {"traps", r.traps},
          {"short_parts", r.shorts}};
}

Json change_json(const SizeChange& c) {
  return {{"channel", c.channel},
          {"role", role_of(c.role)},
          {"measure", measure_of(c)},
          {"from_mm", c.from / mm},
          {"to_mm", c.to / mm},
          {"spread_before_s", c.before.spread},
          {"spread_after_s", c.after.spread},
          {"forecast_spread_after_s", c.forecast >= 0.0 ? Json(c.forecast) : Json()},
          {"pressure_before_MPa", c.before.pressure / MPa},
          {"pressure_after_MPa", c.after.pressure / MPa}};
}

Json gate_json(const AddedGate& g) {
  return {{"part", g.part},
          {"cures", g.cures},
          {"from_x_mm", g.gate.from.x / mm},
          {"from_y_mm", g.gate.from.y / mm},
          {"to_x_mm", g.gate.to.x / mm},
          {"to_y_mm", g.gate.to.y / mm},
          {"width_mm", g.gate.width / mm},
          {"depth_mm", g.gate.depth / mm}};
}

std::string change_text(const SizeChange& c) {
  std::string text = fmt::format("{} {} {} from {:.4g} to {:.4g} mm: ", verb_of(c), role_of(c.role),
                                 c.channel, c.from / mm, c.to / mm);
  const double was = c.before.spread, is = c.after.spread;
  if (std::abs(is - was) < 5e-4)
    text += fmt::format("spread stays {:.3f} s", is);
  else
    text += fmt::format("spread {} from {:.3f} to {:.3f} s", is < was ? "falls" : "grows", was, is);
  if (c.forecast >= 0.0) text += fmt::format(" (foretold {:.3f} s)", c.forecast);
  return text + fmt::format(", pressure {:.1f} -> {:.1f} MPa", c.before.pressure / MPa,
                            c.after.pressure / MPa);
}

std::string list_text(const BalanceAnswer& a) {
  std::string text;
  int number = 0;
  if (a.sizes)
    for (const SizeChange& c : a.sizes->changes)
      text += fmt::format("{:2}  {}\n", ++number, change_text(c));
  for (const VentProposal& v : a.vents)
    text += fmt::format(
        "{:2}  cut a vent {:.1f} mm wide, {:.0f} um deep and {:.1f} mm long at ({:.1f}, "
        "{:.1f}) mm\n",
        ++number, v.width / mm, v.depth / um, v.land / mm, v.at.x / mm, v.at.y / mm);
  for (const AddedGate& g : a.gates)
    text += fmt::format(
        "{:2}  add a gate {:.4g} x {:.4g} mm from ({:.1f}, {:.1f}) to ({:.1f}, {:.1f}) mm on {}; "
        "it cures: {}\n",
        ++number, g.gate.width / mm, g.gate.depth / mm, g.gate.from.x / mm, g.gate.from.y / mm,
        g.gate.to.x / mm, g.gate.to.y / mm, g.part, g.cures);
  if (number == 0)
    text += a.reached ? "nothing needs to be changed\n" : "no change that is allowed helps\n";
  return text;
}

}  // namespace

bool wants_vent(const AirPocketResult& pocket) {
  return is_caught(pocket) && pocket.proposal && pocket.proposal->reaches;
}

bool is_caught(const AirPocketResult& pocket) { return pocket.trapped || pocket.may_scorch; }

BalanceRun balance_run(const Setup& setup, const Result& result) {
  BalanceRun r;
  r.parts = static_cast<int>(result.parts.size());
  std::vector<double> nearly, full;
  for (const PartResult& part : result.parts) {
    nearly.push_back(part.nearly_full);
    full.push_back(part.full);
    r.fill = std::max(r.fill, part.full);
    r.nearly = std::max(r.nearly, part.nearly_full);
    if (part.full < 0.0) ++r.shorts;
  }
  r.spread = fill_time_spread(nearly).value_or(0.0);
  r.corners = fill_time_spread(full).value_or(0.0);
  r.pressure = result.peak_pressure;
  r.mass = frame_figures(setup.model, setup.material.density_melt).mass;
  const auto pockets = [&](bool (*which)(const AirPocketResult&)) {
    return static_cast<int>(
        std::count_if(result.air_pockets.begin(), result.air_pockets.end(), which));
  };
  r.caught = pockets(is_caught);
  r.traps = pockets(wants_vent);
  return r;
}

namespace {

std::string fill_text(const BalanceRun& r) {
  return r.shorts > 0 ? "not full" : fmt::format("{:.3f} s", r.fill);
}

std::string runs_text(const BalanceRun& before, const BalanceRun& after) {
  std::string text;
  const auto row = [&](const char* what, const char* unit, double b, double n, int digits) {
    text += fmt::format("{:<14} {:.{}f} -> {:.{}f} {}\n", what, b, digits, n, digits, unit);
  };
  if (has_spread(before) && has_spread(after)) {
    row("spread", "s between the parts 98 % full", before.spread, after.spread, 3);
    row("last corners", "s between them", before.corners, after.corners, 3);
  }
  text += fmt::format("{:<14} {} -> {}\n", "fill time", fill_text(before), fill_text(after));
  row("peak pressure", "MPa", before.pressure / MPa, after.pressure / MPa, 1);
  row("shot weight", "g", before.mass / gram, after.mass / gram, 2);
  text += fmt::format("{:<14} {} -> {} pockets", "caught air", before.caught, after.caught);
  if (before.caught + after.caught > 0)
    text += fmt::format(", {} -> {} of them a vent can cure", before.traps, after.traps);
  text += "\n";
  if (before.shorts > 0 || after.shorts > 0)
    text += fmt::format("{:<14} {} -> {}\n", "short parts", before.shorts, after.shorts);
  return text;
}

}  // namespace

std::string balance_text(const BalanceAnswer& a) {
  std::string text = list_text(a) + runs_text(a.before, a.after);
  if (a.target > 0.0)
    text += fmt::format("{:<14} {:.3f} s: {}\n", "target", a.target,
                        a.reached ? "reached" : "not reached");
  if (!a.reached && !a.blocked.empty()) text += fmt::format("{:<14} {}\n", "in the way", a.blocked);
  text += fmt::format("{:<14} {} ({} full runs)\n", "files", a.folder, a.runs);
  return text;
}

std::string balance_json(const BalanceAnswer& a) {
  Json out;
  out["schema_version"] = 2;
  out["reached"] = a.reached;
  out["target_s"] = a.target > 0.0 ? Json(a.target) : Json();
  out["changes"] = Json::array();
  out["first_forecast_spread_s"] = nullptr;
  if (a.sizes) {
    for (const SizeChange& c : a.sizes->changes) out["changes"].push_back(change_json(c));
    if (a.sizes->forecast >= 0.0) out["first_forecast_spread_s"] = a.sizes->forecast;
  }
  out["vents"] = Json::array();
  for (const VentProposal& v : a.vents)
    out["vents"].push_back({{"x_mm", v.at.x / mm},
                            {"y_mm", v.at.y / mm},
                            {"width_mm", v.width / mm},
                            {"depth_mm", v.depth / mm},
                            {"land_mm", v.land / mm}});
  out["gates"] = Json::array();
  for (const AddedGate& g : a.gates) out["gates"].push_back(gate_json(g));
  out["before"] = run_json(a.before);
  out["after"] = run_json(a.after);
  out["in_the_way"] = a.reached || a.blocked.empty() ? Json() : Json(a.blocked);
  out["runs"] = a.runs;
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace firstshot
