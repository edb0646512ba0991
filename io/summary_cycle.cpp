#include "io/summary_cycle.hpp"

#include <nlohmann/json.hpp>

#include "io/case_cycle.hpp"
#include "io/outcome_names.hpp"
#include "io/summary_number.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;
constexpr double mm = 1e-3, gram = 1e-3, megapascal = 1e6, kilonewton = 1e3, cm3 = 1e-6;
constexpr double kilojoule = 1e3, zero_celsius = 273.15, minute = 60.0;

Json number(double value) { return summary_number(value); }
Json celsius(double kelvin) { return summary_number(kelvin - zero_celsius); }

void add(Json& to, const std::string& key, const BandedTime& t) {
  to[key] = number(t.value);
  to[key + "_low"] = number(t.low);
  to[key + "_high"] = number(t.high);
}

Json piece_json(const CooledPiece& p) {
  Json out;
  out["name"] = p.name;
  out["ejectable_s"] = time_or_null<Json>(p.ejectable);
  out["x_mm"] = number(p.at.x / mm);
  out["y_mm"] = number(p.at.y / mm);
  out["cooling_gap_mm"] = number(p.gap / mm);
  return out;
}

Json pieces_json(const CycleResult& c) {
  Json list = Json::array();
  for (const CooledPiece& p : c.parts) {
    Json entry = piece_json(p);
    entry["core_at_opening_C"] = celsius(p.temperature_open);
    entry["mean_at_opening_min_C"] = celsius(p.mean_open_low);
    entry["mean_at_opening_max_C"] = celsius(p.mean_open_high);
    list.push_back(entry);
  }
  return list;
}

Json half_json(const HalfHeat& h) {
  Json out;
  out["surface_C"] = celsius(h.surface);
  out["surface_C_high"] = celsius(h.surface_high);
  out["power_W"] = number(h.power);
  out["water_rise_K"] = number(h.water_rise);
  out["water_velocity_m_per_s"] = number(h.bore.velocity);
  out["reynolds"] = number(h.bore.reynolds);
  out["water_conductance_W_per_m2K"] = number(h.bore.conductance);
  return out;
}

Json mould_json(const MouldBalance& m) {
  Json out;
  out["follows_from_channels"] = m.follows;
  out["surface_fixed_C"] = celsius(m.surface_fixed);
  out["surface_moving_C"] = celsius(m.surface_moving);
  out["contact_rise_K"] = number(m.contact_rise);
  out["balance_fixed"] = m.follows ? half_json(m.fixed) : Json();
  out["balance_moving"] = m.follows ? half_json(m.moving) : Json();
  out["warming_time_s"] = m.follows ? number(m.warming_time) : Json();
  out["shots_to_warm"] = m.follows ? Json(m.shots_to_warm) : Json();
  return out;
}

Json energy_json(const ShotEnergy& e) {
  Json out;
  out["melt_kJ"] = number(e.melt / kilojoule);
  out["screw_work_kJ"] = number(e.work / kilojoule);
  out["left_in_shot_kJ"] = number(e.left / kilojoule);
  out["to_fixed_half_kJ"] = number(e.fixed / kilojoule);
  out["to_moving_half_kJ"] = number(e.moving / kilojoule);
  out["plasticising_kJ"] = number(e.plasticise / kilojoule);
  return out;
}

Json gauges(const GaugePair& p) {
  Json out;
  out["melt_MPa"] = number(p.melt / megapascal);
  out["hydraulic_MPa"] = number(p.hydraulic / megapascal);
  return out;
}

Json deciding_json(const CycleResult& c) {
  if (!c.deciding) return nullptr;
  const DecidingPiece& d = *c.deciding;
  Json out = piece_json(d.piece);
  out["tenth_thinner_saves_s"] = number(d.tenth_saves);
  out["next"] = d.next;
  out["thin_enough_mm"] = number(d.enough * d.piece.gap / mm);
  out["thin_enough_saves_s"] = number(d.enough_saves);
  return out;
}

Json cycle_block(const Result& result) {
  if (!result.cycle) return nullptr;
  const CycleResult& c = *result.cycle;
  Json out;
  out["close_s"] = number(c.close);
  out["inject_s"] = number(c.inject);
  out["hold_s"] = number(c.hold);
  add(out, "cool_s", c.cool);
  out["open_s"] = number(c.open);
  out["eject_s"] = number(c.eject);
  add(out, "total_s", c.total);
  out["cooling_share"] = number(c.cool.value / c.total.value);
  out["holding_and_cooling_share"] = number((c.hold + c.cool.value) / c.total.value);
  out["limited_by"] = cycle_limit_name(c.limit);
  add(out, "parts_ejectable_s", c.parts_ejectable);
  add(out, "runners_ejectable_s", c.runners_ejectable);
  out["parts_ejectable_by_mean_s"] = number(c.parts_by_mean);
  out["runners_ejectable_by_mean_s"] = number(c.runners_by_mean);
  out["runner_costs_s"] = number(c.runner_cost);
  out["runners_tenth_thinner_save_s"] = number(c.thinner_runner_saves);
  out["deciding"] = deciding_json(c);
  out["screw_recovery_s"] = number(c.barrel.recovery);
  out["residence_s"] = number(c.barrel.residence);
  out["stroke_share"] = number(c.barrel.stroke_share);
  out["mould"] = mould_json(c.mould);
  out["energy"] = energy_json(c.energy);
  out["parts"] = pieces_json(c);
  out["channels"] = Json::array();
  for (const CooledPiece& p : c.channels) {
    Json entry = piece_json(p);
    entry["role"] = role_name(p.role);
    out["channels"].push_back(entry);
  }
  return out;
}

Json blend_block(const Setup& setup) {
  const BlendFigures f = blend_figures(setup.blend);
  Json out;
  out["fresh"] = number(f.fresh);
  out["regrind"] = number(setup.blend.regrind);
  out["masterbatch"] = number(setup.blend.masterbatch);
  out["flow_ratio"] = number(f.flow_ratio);
  out["viscosity_factor"] = number(f.viscosity_factor);
  out["viscosity_factor_low"] = number(f.viscosity_factor_low);
  out["viscosity_factor_high"] = number(f.viscosity_factor_high);
  out["regrind_colour"] = regrind_colour_name(setup.blend.colour);
  out["colour_share"] = number(f.colour);
  out["foreign_colour_share"] = number(f.foreign_colour);
  return out;
}

Json settings_block(const Result& result) {
  if (!result.settings) return nullptr;
  const PressSettings& s = *result.settings;
  Json out;
  out["zones_C"] = Json::array();
  for (const double zone : s.zones) out["zones_C"].push_back(celsius(zone));
  out["melt_C"] = celsius(s.melt_temperature);
  out["mould_fixed_C"] = celsius(s.surface_fixed);
  out["mould_moving_C"] = celsius(s.surface_moving);
  out["dosing_position_mm"] = number(s.dosing_position / mm);
  out["switch_over_position_mm"] = number(s.switch_over_position / mm);
  out["cushion_mm"] = number(s.cushion / mm);
  out["speeds"] = Json::array();
  for (const ScrewSpeedStep& step : s.speeds)
    out["speeds"].push_back({{"from_mm", number(step.from / mm)},
                             {"to_mm", number(step.to / mm)},
                             {"speed_mm_per_s", number(step.speed / mm)},
                             {"flow_cm3_per_s", number(step.flow_rate / cm3)}});
  out["injection_limit"] = gauges(s.injection_limit);
  out["peak_pressure"] = gauges(s.peak);
  out["holding"] = Json::array();
  for (const HoldingSetting& h : s.holding) {
    Json entry = gauges(h.pressure);
    entry["duration_s"] = number(h.duration);
    out["holding"].push_back(entry);
  }
  out["back_pressure_low"] = gauges(s.back_pressure_low);
  out["back_pressure_high"] = gauges(s.back_pressure_high);
  out["screw_speed_low_per_min"] = number(s.screw_speed_low * minute);
  out["screw_speed_high_per_min"] = number(s.screw_speed_high * minute);
  out["cooling_time_s"] = number(s.cooling_time);
  out["clamp_force_kN"] = number(s.clamp_force / kilonewton);
  return out;
}

Json cost_block(const Setup& setup, const Result& result) {
  if (!result.cost || !setup.cost) return nullptr;
  const CostResult& c = *result.cost;
  Json out;
  out["currency"] = setup.cost->currency;
  out["per_frame"] = number(c.per_frame);
  out["per_frame_low"] = number(c.per_frame_low);
  out["per_frame_high"] = number(c.per_frame_high);
  out["material"] = number(c.material);
  out["colour"] = number(c.colour);
  out["drying"] = number(c.drying);
  out["regrind_credit"] = number(c.regrind_credit);
  out["machine"] = number(c.machine);
  out["labour"] = number(c.labour);
  out["scrap"] = number(c.scrap);
  out["blend_per_kg"] = number(c.material_per_kg);
  out["runner_unused_g"] = number(c.runner_unused / gram);
  out["mould_per_frame"] = number_or_null<Json>(c.mould_per_frame);
  out["total_per_frame"] = number_or_null<Json>(c.total_per_frame);
  out["break_even_frames"] = number_or_null<Json>(c.break_even_frames);
  out["mould_return"] = number_or_null<Json>(c.mould_return);
  out["mould_return_expected"] = number_or_null<Json>(c.mould_return_expected);
  return out;
}

const char* warp_cause_name(WarpCause cause) {
  switch (cause) {
    case WarpCause::uneven_shrinkage:
      return "uneven_shrinkage";
    case WarpCause::uneven_cooling:
      return "uneven_cooling";
    case WarpCause::one_sided_cooling:
      return "one_sided_cooling";
  }
  return "";
}

Json warp_block(const Result& result) {
  Json out;
  out["modelled"] = false;
  out["drivers"] = Json::array();
  for (const WarpDriver& w : result.warp)
    out["drivers"].push_back(
        {{"part", w.part}, {"cause", warp_cause_name(w.cause)}, {"strain", number(w.strain)}});
  return out;
}

Json release_json(const std::optional<ReleaseForce>& release) {
  if (!release) return nullptr;
  Json out;
  out["strain"] = number(release->strain);
  out["force_N"] = number(release->force);
  out["force_N_low"] = number(release->force_low);
  out["force_N_high"] = number(release->force_high);
  out["pins_push_N"] = number(release->pins_push);
  out["gates_carry_N"] = number(release->gates_carry);
  return out;
}

/// Null for a layout or a drawing, which has none.
Json draft_json(const Setup& setup) {
  if (setup.walls.empty()) return nullptr;
  Json list = Json::array();
  for (const SideWalls& w : setup.walls)
    list.push_back({{"part", w.part},
                    {"least_deg", number(w.least_draft)},
                    {"x_mm", number(w.at.x / mm)},
                    {"y_mm", number(w.at.y / mm)},
                    {"walls_mm2", number((w.core_area() + w.outer_area()) / (mm * mm))},
                    {"around_steel_mm2", number(w.core_area() / (mm * mm))}});
  return list;
}

Json ejection_block(const Setup& setup, const Result& result) {
  Json out;
  out["pins"] = Json::array();
  for (const PinPlace& pin : result.ejection.pins)
    out["pins"].push_back({{"name", pin.name},
                           {"x_mm", number(pin.at.x / mm)},
                           {"y_mm", number(pin.at.y / mm)},
                           {"diameter_mm", number(pin.diameter / mm)},
                           {"stands_on", pin.stands_on.empty() ? Json() : Json(pin.stands_on)},
                           {"on_visible_face", pin.on_visible}});
  out["gripping_parts"] = Json::array();
  for (const PartGrip& g : result.ejection.parts)
    out["gripping_parts"].push_back(
        {{"part", g.part},
         {"grip_mm2", number(g.grip / (mm * mm))},
         {"x_mm", number(g.at.x / mm)},
         {"y_mm", number(g.at.y / mm)},
         {"nearest_pin_mm", g.nearest_pin < 0 ? Json() : number(g.nearest_pin / mm)},
         {"release", release_json(g.release)}});
  out["draft"] = draft_json(setup);
  return out;
}

}  // namespace

std::string warp_json_text(const Result& result) {
  return warp_block(result).dump(-1, ' ', false, Json::error_handler_t::replace);
}
std::string ejection_json_text(const Setup& setup, const Result& result) {
  return ejection_block(setup, result).dump(-1, ' ', false, Json::error_handler_t::replace);
}
std::string cycle_json_text(const Result& result) {
  return cycle_block(result).dump(-1, ' ', false, Json::error_handler_t::replace);
}
std::string blend_json_text(const Setup& setup) { return blend_block(setup).dump(); }
std::string settings_json_text(const Result& result) { return settings_block(result).dump(); }
std::string cost_json_text(const Setup& setup, const Result& result) {
  return cost_block(setup, result).dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace firstshot
