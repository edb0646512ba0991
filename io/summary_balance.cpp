#include "io/summary_balance.hpp"

#include <nlohmann/json.hpp>

#include "io/summary_number.hpp"
#include "solver/assess/balance_figures.hpp"
#include "solver/whole/frame_balance.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3;              // [m]
constexpr double mm3 = 1e-9;             // [m³]
constexpr double cm3 = 1e-6;             // [m³]
constexpr double gram = 1e-3;            // [kg]
constexpr double microgram = 1e-9;       // [kg]
constexpr double megapascal = 1e6;       // [Pa]
constexpr double kilojoule = 1e3;        // [J]
constexpr double zero_celsius = 273.15;  // [K]

Json number(double value) { return summary_number(value); }

/// Where the pressure went on the way to the place that melt reached last.
Json last_path_block(const Model& model, const Result& result) {
  const FlowPath* last = last_path(model, result);
  if (last == nullptr) return nullptr;
  Json out;
  out["part"] = model.regions[static_cast<std::size_t>(last->region)].name;
  out["length_mm"] = number(last->length / mm);
  out["length_over_thickness"] = number(last->length_over_thickness);
  out["sprue_MPa"] = number(last->sprue / megapascal);
  out["runners_MPa"] = number(last->runners / megapascal);
  out["gates_MPa"] = number(last->gates / megapascal);
  out["parts_MPa"] = number(last->parts / megapascal);
  out["air_MPa"] = number(last->air / megapascal);
  return out;
}

Json sides_block(const Result& result) {
  Json list = Json::array();
  for (const SideChange& c : result.sides) {
    Json entry;
    entry["first"] = side_name(c.first);
    entry["second"] = side_name(c.second);
    entry["full_s"] = number(c.time);
    entry["window_s"] = number(c.window);
    entry["pressure_before_MPa"] = number(c.pressure_before / megapascal);
    entry["pressure_after_MPa"] = number(c.pressure_after / megapascal);
    entry["second_flow_before_cm3_s"] = number(c.flow_before / cm3);
    entry["second_flow_after_cm3_s"] = number(c.flow_after / cm3);
    list.push_back(entry);
  }
  return list;
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

}  // namespace

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

std::string balance_block(const Model& model, const Result& result, const FrameFigures& figures) {
  std::vector<double> full, nearly;
  for (const PartResult& part : result.parts) {
    full.push_back(part.full);
    nearly.push_back(part.nearly_full);
  }
  const std::optional<double> spread = fill_time_spread(full);
  const std::optional<double> nearly_spread = fill_time_spread(nearly);
  Json balance;
  balance["mass_left_g"] = number(figures.mass_left / gram);
  balance["mass_right_g"] = number(figures.mass_right / gram);
  balance["mass_top_g"] = number(figures.mass_top / gram);
  balance["mass_bottom_g"] = number(figures.mass_bottom / gram);
  balance["fill_time_spread_s"] = number_or_null<Json>(spread);
  balance["nearly_full_spread_s"] = number_or_null<Json>(nearly_spread);
  const std::optional<double> jump = jump_at_first_full(result);
  balance["pressure_jump_MPa"] = jump ? number(*jump / megapascal) : Json();
  balance["sides"] = sides_block(result);
  balance["last_path"] = last_path_block(model, result);
  return balance.dump();
}

std::string air_block(const Result& result) {
  const PocketTable& table = result.state.air.pockets;
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
    const auto number_in_table = static_cast<std::size_t>(pocket.number);
    const bool known = number_in_table < table.size();
    entry["closed_mass_ug"] =
        known ? number(table.closed_mass[number_in_table] / microgram) : Json();
    entry["mass_ug"] = known ? number(table.mass[number_in_table] / microgram) : Json();
    entry["edge_mm"] = known ? number(table.rim[number_in_table] / mm) : Json();
    entry["void_mm3"] = pocket.hollow < 0.0 ? Json() : number(pocket.hollow / mm3);
    entry["pressure_MPa"] = number(pocket.pressure / megapascal);
    entry["peak_pressure_MPa"] = number(pocket.peak_pressure / megapascal);
    entry["peak_temperature_C"] = number(pocket.peak_temperature - zero_celsius);
    entry["isothermal_temperature_C"] = number(pocket.isothermal_temperature - zero_celsius);
    entry["adiabatic_temperature_C"] = number(pocket.adiabatic_temperature - zero_celsius);
    entry["hot_s"] = number(pocket.hot_time);
    entry["vented"] = pocket.vented;
    entry["trapped"] = pocket.trapped;
    entry["may_scorch"] = pocket.may_scorch;
    entry["vent"] = pocket.proposal ? vent_block(*pocket.proposal) : Json();
    list.push_back(entry);
  }
  return list.dump();
}

std::string scorch_block(const Result& result) {
  constexpr std::size_t most = 20;
  Json out;
  out["note"] = scorch_note;
  out["shots"] = static_cast<std::int64_t>(shots_of_a_life);
  out["stretches"] = Json::array();
  for (const ShutOffStretch& s : result.scorch) {
    if (out["stretches"].size() == most) break;
    Json entry;
    entry["place"] = s.place;
    entry["x_mm"] = number(s.at.x / mm);
    entry["y_mm"] = number(s.at.y / mm);
    entry["length_mm"] = number(s.length / mm);
    entry["share"] = number(s.share);
    entry["per_shot_J_m"] = number(s.per_length);
    entry["over_shots_kJ_m"] = number(s.per_length * shots_of_a_life / kilojoule);
    out["stretches"].push_back(entry);
  }
  return out.dump();
}

}  // namespace firstshot
