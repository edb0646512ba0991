#include "io/summary.hpp"

#include <cstdio>
#include <cstdlib>
#include <limits>

#include <nlohmann/json.hpp>
#include <sys/resource.h>

#include "io/outcome_names.hpp"
#include "io/summary_balance.hpp"
#include "io/summary_cycle.hpp"
#include "io/summary_hold.hpp"
#include "io/summary_number.hpp"
#include "solver/assess/balance_figures.hpp"
#include "solver/assess/frame_figures.hpp"
#include "solver/whole/frame_balance.hpp"

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
  fill["time_s"] = time_or_null<Json>(result.fill_time);
  fill["filled_fraction"] = number(result.filled_fraction);
  const ForecastRange range =
      viscosity_range(result.peak_pressure, pressure_band(setup), pressure_limit(setup));
  add_with_range(fill, "peak_pressure_MPa", result.peak_pressure, range, megapascal);
  fill["switch_over_time_s"] = time_or_null<Json>(result.state.switch_over_time);
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

const FlowPath* path_to(const Result& result, const Model& model, const std::string& part) {
  for (const FlowPath& path : result.paths)
    if (model.regions[static_cast<std::size_t>(path.region)].name == part) return &path;
  return nullptr;
}

/// What cycle, settings and cost reckon with: the shot as it was held.
double shot_mass(const Result& result, const FrameFigures& figures) {
  if (result.cycle) return result.cycle->mass;
  return result.hold.held ? result.hold.shot_mass : figures.mass;
}

Json parts_block(const Model& model, const Result& result, const FrameFigures& figures) {
  const Point3& injection = model.position[model.injection];
  Json parts = Json::array();
  for (std::size_t i = 0; i < result.parts.size(); ++i) {
    const PartResult& part = result.parts[i];
    Json entry;
    entry["name"] = part.name;
    entry["volume_mm3"] = number(part.volume / mm3);
    entry["mass_g"] = number(part_mass(result, part) / gram);
    entry["filled_fraction"] = number(part.filled_fraction);
    entry["first_melt_s"] = time_or_null<Json>(part.first_melt);
    entry["full_s"] = time_or_null<Json>(part.full);
    entry["nearly_full_s"] = time_or_null<Json>(part.nearly_full);
    entry["order"] = part.order > 0 ? Json(part.order) : Json();
    entry["side"] = nullptr;
    if (i < figures.parts.size())
      if (const auto side = side_of(figures.parts[i].centre, {injection.x, injection.y}))
        entry["side"] = side_name(*side);
    const FlowPath* path = path_to(result, model, part.name);
    entry["flow_length_mm"] = path != nullptr ? number(path->length / mm) : Json();
    entry["flow_length_over_thickness"] =
        path != nullptr ? number(path->length_over_thickness) : Json();
    const bool packed = i < result.packing.size();
    entry["packing_pressure_MPa"] =
        packed ? number(result.packing[i].pressure / megapascal) : Json();
    entry["packing_extra"] = packed ? number(result.packing[i].extra) : Json();
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
    entry["freeze_s"] = time_or_null<Json>(gate.freeze);
    gates.push_back(entry);
  }
  return gates;
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
    entry["cause"] = short_cause_name(s.cause);
    entry["x_mm"] = number(s.at.x / mm);
    entry["y_mm"] = number(s.at.y / mm);
    entry["pressure_needed_MPa"] =
        s.pressure_needed ? number(*s.pressure_needed / megapascal) : Json();
    entry["speed_needed"] = number_or_null<Json>(s.speed_needed);
    list.push_back(entry);
  }
  return list;
}

Json verdict_block(const Verdict& verdict) {
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
    entry["value"] = number_or_null<Json>(f.value);
    entry["limit"] = number_or_null<Json>(f.limit);
    entry["margin"] = number_or_null<Json>(f.margin);
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
  out["balance"] = Json::parse(balance_block(setup.model, result, as_held(setup, result, figures)));
  out["air_pockets"] = Json::parse(air_block(result));
  out["scorch"] = Json::parse(scorch_block(result));
  out["weld_lines"] = weld_lines_block(result);
  out["short_shots"] = short_shots_block(result);
  out["hold"] = Json::parse(hold_block(result));
  out["shrinkage"] = Json::parse(shrinkage_block(result));
  out["clamp"] = clamp_block(setup, result);
  out["shot"]["mass_g"] = number(shot_mass(result, figures) / gram);
  out["shot"]["mass_at_melt_density_g"] = number(figures.mass / gram);
  out["shot"]["runner_share"] = number(figures.runner_share);
  out["shot"]["blend"] = Json::parse(blend_json_text(setup));
  out["cycle"] = Json::parse(cycle_json_text(result));
  out["setup"] = Json::parse(settings_json_text(result));
  out["warp"] = Json::parse(warp_json_text(result));
  out["ejection"] = Json::parse(ejection_json_text(setup, result));
  out["cost"] = Json::parse(cost_json_text(setup, result));
  out["verdict"] = verdict_block(result.verdict);
  out["run"] = run_block(setup.model, result, run);
  constexpr int indent = 2;
  return out.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace firstshot
