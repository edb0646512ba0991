#include "io/summary.hpp"

#include <cstdio>
#include <cstdlib>
#include <limits>

#include <nlohmann/json.hpp>
#include <sys/resource.h>

#include "io/outcome_names.hpp"
#include "io/summary_hold.hpp"
#include "io/summary_number.hpp"
#include "solver/assess/balance_figures.hpp"
#include "solver/assess/frame_figures.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3;              // [m]
constexpr double mm3 = 1e-9;             // [m³]
constexpr double gram = 1e-3;            // [kg]
constexpr double megapascal = 1e6;       // [Pa]
constexpr double zero_celsius = 273.15;  // [K]
constexpr double kilonewton = 1e3;       // [N]
constexpr double megabyte = 1e6;         // [bytes]
constexpr double rusage_unit = 1024;     // of ru_maxrss on Linux [bytes]

Json number(double value) { return summary_number(value); }
/// Time, or null when it never came.
Json time_or_null(double time) { return time < 0 ? Json() : number(time); }

const char* side_name(Side side) {
  switch (side) {
    case Side::left:
      return "left";
    case Side::right:
      return "right";
    case Side::top:
      return "top";
    case Side::bottom:
      return "bottom";
  }
  return "";
}

/// Writes `key`, and its range as key_low, key_high.
void add_with_range(Json& to, const std::string& key, double value, const ForecastRange& range,
                    double unit) {
  to[key] = number(value / unit);
  to[key + "_low"] = number(range.low / unit);
  to[key + "_high"] = number(range.high / unit);
}

double pressure_limit(const Setup& setup) {
  const double set = setup.process.injection_pressure_max;
  return set > 0 ? set : setup.press.melt_pressure_max;
}
/// A pressure that the case prescribes is not in doubt.
double pressure_band(const Setup& setup) {
  return setup.process.constant_pressure > 0 ? 0.0 : setup.material.viscosity_band;
}

Json fill_block(const Setup& setup, const Result& result) {
  Json fill;
  fill["outcome"] = outcome_name(result.outcome);
  fill["cause"] = result.cause;
  fill["time_s"] = time_or_null(result.fill_time);
  fill["filled_fraction"] = number(result.filled_fraction);
  const ForecastRange range =
      viscosity_range(result.peak_pressure, pressure_band(setup), pressure_limit(setup));
  add_with_range(fill, "peak_pressure_MPa", result.peak_pressure, range, megapascal);
  fill["switch_over_time_s"] = time_or_null(result.state.switch_over_time);
  fill["mass_error"] = number(result.mass_error);
  return fill;
}

/// The force follows the pressure, so its range is the pressure's, relative to the peak.
Json clamp_block(const Setup& setup, const Result& result) {
  const double peak = result.peak_pressure;
  const ForecastRange range =
      viscosity_range(1.0, pressure_band(setup), peak > 0 ? pressure_limit(setup) / peak : 0.0);
  const double force = result.peak_opening_force;
  Json clamp;
  add_with_range(clamp, "peak_kN", force, {force * range.low, force * range.high}, kilonewton);
  clamp["while"] =
      result.hold.held && result.hold.peak_opening_force >= force ? "holding" : "filling";
  return clamp;
}

Json parts_block(const Model& model, const Result& result, const FrameFigures& figures) {
  const Point3& injection = model.position[model.injection];
  Json parts = Json::array();
  for (std::size_t i = 0; i < result.parts.size(); ++i) {
    const PartResult& part = result.parts[i];
    Json entry;
    entry["name"] = part.name;
    entry["volume_mm3"] = number(part.volume / mm3);
    entry["mass_g"] = number(part.mass / gram);
    entry["filled_fraction"] = number(part.filled_fraction);
    entry["first_melt_s"] = time_or_null(part.first_melt);
    entry["full_s"] = time_or_null(part.full);
    entry["order"] = part.order > 0 ? Json(part.order) : Json();
    entry["side"] = nullptr;
    if (i < figures.parts.size())
      if (const auto side = side_of(figures.parts[i].centre, {injection.x, injection.y}))
        entry["side"] = side_name(*side);
    parts.push_back(entry);
  }
  return parts;
}

Json gates_block(const Result& result) {
  Json gates = Json::array();
  for (const GateResult& gate : result.gates) {
    Json entry;
    entry["name"] = gate.name;
    entry["part"] = gate.part;
    entry["width_mm"] = number(gate.width / mm);
    entry["depth_mm"] = number(gate.depth / mm);
    entry["length_mm"] = number(gate.length / mm);
    entry["pressure_loss_MPa"] = number(gate.pressure_loss / megapascal);
    entry["peak_shear_rate_per_s"] = number(gate.peak_shear_rate);
    entry["freeze_s"] = time_or_null(gate.freeze);
    gates.push_back(entry);
  }
  return gates;
}

/// How far the pressure jumps when the first of several parts is full.
std::optional<double> jump_at_first_full(const Result& result) {
  constexpr double window = 0.05;  // of the time so far
  double first = -1.0;
  for (const PartResult& part : result.parts)
    if (part.order == 1) first = part.full;
  if (result.parts.size() < 2 || first < 0.0) return std::nullopt;
  return pressure_jump(result.history, first, window * first);
}

/// Where the pressure went on the way to the place that melt reached last.
Json last_path_block(const Model& model, const Result& result) {
  const FlowPath* last = nullptr;
  double latest = -1.0;
  std::size_t part = 0;
  for (const FlowPath& path : result.paths) {
    while (part < result.parts.size() &&
           result.parts[part].name != model.regions[static_cast<std::size_t>(path.region)].name)
      ++part;
    const bool full = part < result.parts.size() && result.parts[part].full >= 0.0;
    const double time = full ? result.parts[part].full : std::numeric_limits<double>::infinity();
    if (last != nullptr && time <= latest) continue;
    latest = time;
    last = &path;
  }
  if (last == nullptr) return nullptr;
  Json out;
  out["part"] = model.regions[static_cast<std::size_t>(last->region)].name;
  out["length_mm"] = number(last->length / mm);
  out["length_over_thickness"] = number(last->length_over_thickness);
  out["sprue_MPa"] = number(last->sprue / megapascal);
  out["runners_MPa"] = number(last->runners / megapascal);
  out["gates_MPa"] = number(last->gates / megapascal);
  out["parts_MPa"] = number(last->parts / megapascal);
  return out;
}

Json balance_block(const Model& model, const Result& result, const FrameFigures& figures) {
  std::vector<double> full;
  for (const PartResult& part : result.parts) full.push_back(part.full);
  const std::optional<double> spread = fill_time_spread(full);
  Json balance;
  balance["mass_left_g"] = number(figures.mass_left / gram);
  balance["mass_right_g"] = number(figures.mass_right / gram);
  balance["mass_top_g"] = number(figures.mass_top / gram);
  balance["mass_bottom_g"] = number(figures.mass_bottom / gram);
  balance["fill_time_spread_s"] = spread ? number(*spread) : Json();
  const std::optional<double> jump = jump_at_first_full(result);
  balance["pressure_jump_MPa"] = jump ? number(*jump / megapascal) : Json();
  balance["last_path"] = last_path_block(model, result);
  return balance;
}

Json pins_block(const PinProposal& p) {
  Json out;
  out["count"] = p.count;
  out["diameter_mm"] = number(p.diameter / mm);
  out["clearance_mm"] = number(p.clearance / mm);
  out["land_mm"] = number(p.land / mm);
  return out;
}

Json vent_block(const VentProposal& v) {
  Json out;
  out["reaches"] = v.reaches;
  out["x_mm"] = number(v.at.x / mm);
  out["y_mm"] = number(v.at.y / mm);
  out["distance_mm"] = number(v.distance / mm);
  out["width_mm"] = v.reaches ? number(v.width / mm) : Json();
  out["depth_mm"] = v.reaches ? number(v.depth / mm) : Json();
  out["land_mm"] = v.reaches ? number(v.land / mm) : Json();
  out["pins"] = v.pins ? pins_block(*v.pins) : Json();
  out["text"] = v.text;
  return out;
}

Json air_block(const Result& result) {
  Json list = Json::array();
  for (const AirPocketResult& pocket : result.air_pockets) {
    Json entry;
    entry["number"] = pocket.number;
    entry["x_mm"] = number(pocket.at.x / mm);
    entry["y_mm"] = number(pocket.at.y / mm);
    entry["part"] = pocket.part;
    entry["closed_s"] = number(pocket.closed);
    entry["closed_volume_mm3"] = number(pocket.closed_volume / mm3);
    entry["volume_mm3"] = number(pocket.volume / mm3);
    entry["pressure_MPa"] = number(pocket.pressure / megapascal);
    entry["peak_pressure_MPa"] = number(pocket.peak_pressure / megapascal);
    entry["peak_temperature_C"] = number(pocket.peak_temperature - zero_celsius);
    entry["isothermal_temperature_C"] = number(pocket.isothermal_temperature - zero_celsius);
    entry["adiabatic_temperature_C"] = number(pocket.adiabatic_temperature - zero_celsius);
    entry["hot_s"] = number(pocket.hot_time);
    entry["vented"] = pocket.vented;
    entry["may_scorch"] = pocket.may_scorch;
    entry["vent"] = pocket.proposal ? vent_block(*pocket.proposal) : Json();
    list.push_back(entry);
  }
  return list;
}

Json weld_lines_block(const Result& result) {
  Json list = Json::array();
  for (const WeldLine& line : result.weld_lines) {
    const MeetingPoint& middle = line.points[line.points.size() / 2];
    Json entry;
    entry["part"] = line.part;
    entry["in_channel"] = line.in_channel;
    entry["x_mm"] = number(middle.at.x / mm);
    entry["y_mm"] = number(middle.at.y / mm);
    entry["length_mm"] = number(line.length / mm);
    entry["angle_min_deg"] = number(line.angle_min_deg);
    entry["temperature_C"] = number(line.temperature - zero_celsius);
    entry["temperature_min_C"] = number(line.temperature_min - zero_celsius);
    entry["time_s"] = number(line.time);
    entry["kind"] = line.kind == MeetingKind::weld ? "weld" : "meld";
    entry["visible"] = line.visible;
    list.push_back(entry);
  }
  return list;
}

Json short_shots_block(const Result& result) {
  Json list = Json::array();
  for (const ShortShot& s : result.short_shots) {
    Json entry;
    entry["part"] = s.part;
    entry["unfilled_mm3"] = number(s.unfilled / mm3);
    entry["cause"] = short_shot_cause_name(s.cause);
    entry["x_mm"] = number(s.at.x / mm);
    entry["y_mm"] = number(s.at.y / mm);
    entry["pressure_needed_MPa"] =
        s.pressure_needed ? number(*s.pressure_needed / megapascal) : Json();
    entry["speed_needed"] = s.speed_needed ? number(*s.speed_needed) : Json();
    list.push_back(entry);
  }
  return list;
}

Json verdict_block(const Verdict& verdict) {
  const auto or_null = [](const std::optional<double>& value) {
    return value ? number(*value) : Json();
  };
  Json out;
  out["approved"] = verdict.approved;
  out["findings"] = Json::array();
  for (const Finding& f : verdict.findings) {
    Json entry;
    entry["rule"] = f.rule;
    entry["severity"] = severity_name(f.severity);
    entry["x_mm"] = f.at ? number(f.at->x / mm) : Json();
    entry["y_mm"] = f.at ? number(f.at->y / mm) : Json();
    entry["part"] = f.part.empty() ? Json() : Json(f.part);
    entry["unit"] = f.unit;
    entry["value"] = or_null(f.value);
    entry["limit"] = or_null(f.limit);
    entry["margin"] = or_null(f.margin);
    entry["text"] = f.text;
    entry["source"] = f.source;
    out["findings"].push_back(entry);
  }
  return out;
}

Json run_block(const Model& model, const Result& result, const RunFigures& run) {
  Json out;
  out["version"] = run.version;
  out["threads"] = run.threads;
  out["wall_s"] = number(run.wall_s);
  out["steps"] = result.state.step;
  out["nodes"] = model.n_nodes();
  out["elements"] = model.mesh.triangles.size() + model.lines.size();
  out["peak_memory_MB"] = number(run.peak_memory_MB);
  return out;
}

}  // namespace

double summary_number(double value) {
  char text[40];
  std::snprintf(text, sizeof text, "%.9g", value);
  return std::strtod(text, nullptr);
}

double peak_memory_MB() {  // NOLINT(readability-identifier-naming)
  rusage usage{};
  if (::getrusage(RUSAGE_SELF, &usage) != 0) return 0.0;
  return static_cast<double>(usage.ru_maxrss) * rusage_unit / megabyte;
}

std::string summary_json(const Setup& setup, const Result& result, const RunFigures& run) {
  const FrameFigures figures = frame_figures(setup.model, setup.material.density_melt);
  Json out;
  out["schema_version"] = summary_schema_version;
  out["title"] = setup.title;
  out["fill"] = fill_block(setup, result);
  out["parts"] = parts_block(setup.model, result, figures);
  out["gates"] = gates_block(result);
  out["balance"] = balance_block(setup.model, result, figures);
  out["air_pockets"] = air_block(result);
  out["weld_lines"] = weld_lines_block(result);
  out["short_shots"] = short_shots_block(result);
  out["hold"] = Json::parse(hold_block(result));
  out["shrinkage"] = Json::parse(shrinkage_block(result));
  out["clamp"] = clamp_block(setup, result);
  out["shot"]["mass_g"] = number(figures.mass / gram);
  out["shot"]["runner_share"] = number(figures.runner_share);
  out["verdict"] = verdict_block(result.verdict);
  out["run"] = run_block(setup.model, result, run);
  constexpr int indent = 2;
  return out.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace firstshot
