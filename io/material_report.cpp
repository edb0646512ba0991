#include "io/material_report.hpp"

#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/material_card.hpp"
#include "solver/material/melt_flow_rate.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

constexpr double ice_temperature = 273.15;        // 0 °C [K]
constexpr double melt_flow_temperature = 473.15;  // of the standard test [K]
constexpr int columns = 6;                        // temperatures of the table
constexpr std::size_t text_width = 100;

double celsius(double kelvin) { return kelvin - ice_temperature; }
// °C as people write it: no noise in the last digits.
double tidy_celsius(double kelvin) { return std::round(celsius(kelvin) * 100.0) / 100.0; }

const std::vector<std::string>& cautions() {
  static const std::vector<std::string> texts = {
      "All values are estimates. A batch, colour or regrind share may flow differently; ask the "
      "supplier "
      "for data of the grade, and correct with a short shot on the press.",
      "The melt flow rate is measured at shear rates far below those of filling: grades that "
      "differ by a "
      "factor of 8 in it may differ by 2 in the pressure to fill.",
      "Hot melt sticks to skin and burns deeply, and melt that is overheated or kept hot too long "
      "gives "
      "off gas and may spit from the nozzle. The machine's manual and the material's safety data "
      "sheet "
      "decide how to work with it; nothing here replaces them."};
  return texts;
}

struct Parameter {
  const char* key;     // as in the card
  const char* symbol;  // as published
  double value;
  const char* unit;    // in the text
  const char* suffix;  // of the JSON key
};

struct LawText {
  const char* key;
  const char* formula;
  std::vector<Parameter> parameters;
};

LawText describe(const CrossWlf& law) {
  return {"cross_wlf",
          "η = η₀/(1 + (η₀ γ̇/τ*)^(1-n)), η₀ = D1 exp(-A1 (T-T*)/(A2 + T - T*)), T* = D2 + D3 p, "
          "A2 = A2~ + D3 p",
          {{"slope", "n", law.n, "", ""},
           {"stress_at_thinning", "τ*", law.tau_star, "Pa", "_Pa"},
           {"reference_viscosity", "D1", law.D1, "Pa s", "_Pa_s"},
           {"reference_temperature", "D2", tidy_celsius(law.D2), "°C", "_C"},
           {"pressure_shift", "D3", law.D3, "K/Pa", "_K_per_Pa"},
           {"temperature_steepness", "A1", law.A1, "", ""},
           {"temperature_offset", "A2~", law.A2, "K", "_K"}}};
}
LawText describe(const CrossExponential& law) {
  return {"cross_exponential",
          "η = η₀/(1 + (η₀ γ̇/τ*)^(1-n)), η₀ = B exp(Tb/T + β p)",
          {{"slope", "n", law.n, "", ""},
           {"stress_at_thinning", "τ*", law.tau_star, "Pa", "_Pa"},
           {"reference_viscosity", "B", law.B, "Pa s", "_Pa_s"},
           {"activation_temperature", "Tb", law.Tb, "K", "_K"},
           {"pressure_coefficient", "β", law.beta, "1/Pa", "_1_per_Pa"}}};
}
LawText describe(const Newtonian& law) {
  return {"newtonian",
          "η = η_ref exp(-b (T - T_ref))",
          {{"reference_viscosity", "η_ref", law.eta_ref, "Pa s", "_Pa_s"},
           {"reference_temperature", "T_ref", tidy_celsius(law.T_ref), "°C", "_C"},
           {"temperature_coefficient", "b", law.b, "1/K", "_1_per_K"}}};
}
LawText describe(const PowerLaw& law) {
  return {"power_law",
          "η = K exp(-b (T - T_ref)) γ̇^(n-1)",
          {{"slope", "n", law.n, "", ""},
           {"viscosity_at_unit_rate", "K", law.K, "Pa s", "_Pa_s"},
           {"reference_temperature", "T_ref", tidy_celsius(law.T_ref), "°C", "_C"},
           {"temperature_coefficient", "b", law.b, "1/K", "_1_per_K"}}};
}
LawText describe(const ViscosityLaw& law) {
  return std::visit([](const auto& l) { return describe(l); }, law);
}

// Not for a melt that is solid at the temperature of the test.
std::optional<MeltFlowRate> predicted(const Material& material) {
  if (material.no_flow_temperature >= melt_flow_temperature) return std::nullopt;
  return predicted_melt_flow_rate(material);
}

// Text broken at blanks, each line after the first set in by `indent`.
std::string wrapped(const std::string& text, std::size_t indent) {
  std::string result;
  std::size_t line = 0;
  std::size_t at = 0;
  while (at < text.size()) {
    std::size_t end = text.find(' ', at);
    if (end == std::string::npos) end = text.size();
    const std::size_t word = end - at;
    if (line > 0 && indent + line + 1 + word > text_width) {
      result += '\n' + std::string(indent, ' ');
      line = 0;
    }
    if (line > 0) {
      result += ' ';
      ++line;
    }
    result += text.substr(at, word);
    line += word;
    at = end + 1;
  }
  return result;
}

// Sources with the quantities that share them.
std::vector<std::pair<std::string, std::string>> grouped(
    const std::vector<Material::Source>& sources) {
  std::vector<std::pair<std::string, std::string>> groups;  // quantities, source
  for (const Material::Source& s : sources) {
    bool known = false;
    for (auto& [quantities, source] : groups) {
      if (source != s.source) continue;
      quantities += ", " + s.quantity;
      known = true;
    }
    if (!known) groups.emplace_back(s.quantity, s.source);
  }
  return groups;
}

std::string viscosity_text(const Material& m) {
  const LawText law = describe(m.viscosity);
  std::string text = fmt::format("Viscosity: {}\n  {}\n", law.key, wrapped(law.formula, 2));
  for (const Parameter& p : law.parameters)
    text += fmt::format("  {:<24} {:<5} {:.6g}{}{}\n", p.key, p.symbol, p.value,
                        *p.unit == 0 ? "" : " ", p.unit);
  text += fmt::format("  doubt at moulding shear rates: ± {:.0f} %\n\n", 100.0 * m.viscosity_band);
  const ViscosityTable table = viscosity_table(m, 1);
  text += "  Viscosity [Pa s] at zero pressure\n  shear rate [1/s]";
  for (const double T : table.temperature) text += fmt::format("{:>8.0f} °C", celsius(T));
  text += '\n';
  if (!std::holds_alternative<PowerLaw>(m.viscosity)) {
    text += fmt::format("  {:>16}", "at rest");
    for (const double T : table.temperature)
      text += fmt::format("{:>11.4g}", zero_shear_viscosity(m.viscosity, T, 0.0));
    text += '\n';
  }
  for (std::size_t i = 0; i < table.shear_rate.size(); ++i) {
    text += fmt::format("  {:>16.0f}", table.shear_rate[i]);
    for (const double eta : table.viscosity[i]) text += fmt::format("{:>11.4g}", eta);
    text += '\n';
  }
  return text;
}

std::string melt_flow_text(const Material& m) {
  std::string text = "Melt flow rate, 200 °C / 5 kg (ISO 1133)\n";
  if (const auto rate = predicted(m)) {
    text += fmt::format(
        "  predicted by the law: {:.3g} g/10 min ({:.3g} to {:.3g}: end correction of 4 "
        "to 2 radii)\n",
        rate->value, rate->low, rate->high);
  } else {
    text += "  no prediction: the melt does not flow at 200 °C\n";
  }
  if (m.melt_flow_rate > 0.0) {
    text += fmt::format("  of the grade: {:.3g} g/10 min{}\n", m.melt_flow_rate,
                        m.fitted_to_melt_flow_rate ? "; the law was scaled to it" : "");
  } else {
    text += "  of the grade: not known\n";
  }
  return text;
}

std::string thermal_text(const Material& m) {
  std::string text = "Heat and volume\n";
  text +=
      m.no_flow_temperature > 0.0
          ? fmt::format("  no-flow temperature      {:.1f} °C\n", celsius(m.no_flow_temperature))
          : std::string("  no-flow temperature      none, flows at any temperature\n");
  text += fmt::format("  ejection temperature     {:.1f} °C\n", celsius(m.ejection_temperature));
  text += fmt::format("  density of the melt      {:.0f} kg/m³\n", m.density_melt);
  text += fmt::format("  thermal conductivity     {:.3g} W/(m K)\n", m.conductivity);
  std::string capacity;
  for (std::size_t i = 0; i < m.heat_capacity.value.size(); ++i)
    capacity += fmt::format("{}{:.0f} at {:.0f} °C", i == 0 ? "" : ", ", m.heat_capacity.value[i],
                            celsius(m.heat_capacity.temperature[i]));
  constexpr std::size_t value_column = 27;
  text += "  heat capacity [J/(kg K)] " + wrapped(capacity, value_column) + '\n';
  text += "  specific volume [cm³/g]        0 MPa     50 MPa    100 MPa\n";
  for (const double T : {296.15, m.ejection_temperature, m.melt_temperature_min,
                         0.5 * (m.melt_temperature_min + m.melt_temperature_max)}) {
    text += fmt::format("  {:>21.0f} °C", celsius(T));
    for (const double p : {0.0, 50e6, 100e6})
      text += fmt::format("{:>11.4f}", 1e3 * specific_volume(m.pvt, T, p));
    text += '\n';
  }
  return text;
}

Json viscosity_json(const Material& m) {
  const LawText law = describe(m.viscosity);
  Json parameters;
  for (const Parameter& p : law.parameters) parameters[std::string(p.key) + p.suffix] = p.value;
  constexpr int curve_density = 10;
  const ViscosityTable table = viscosity_table(m, curve_density);
  Json curves;
  curves["shear_rate_1_per_s"] = table.shear_rate;
  Json at_temperatures = Json::array();
  for (std::size_t c = 0; c < table.temperature.size(); ++c) {
    Json curve;
    curve["temperature_C"] = tidy_celsius(table.temperature[c]);
    if (!std::holds_alternative<PowerLaw>(m.viscosity))
      curve["zero_shear_viscosity_Pa_s"] =
          zero_shear_viscosity(m.viscosity, table.temperature[c], 0.0);
    Json values = Json::array();
    for (const auto& row : table.viscosity) values.push_back(row[c]);
    curve["viscosity_Pa_s"] = std::move(values);
    at_temperatures.push_back(std::move(curve));
  }
  curves["curves"] = std::move(at_temperatures);
  return {{"law", law.key},
          {"formula", law.formula},
          {"parameters", std::move(parameters)},
          {"band", m.viscosity_band},
          {"at_zero_pressure", std::move(curves)}};
}

Json melt_flow_json(const Material& m) {
  Json json = {{"temperature_C", 200}, {"load_kg", 5}};
  const auto rate = predicted(m);
  json["predicted_g_per_10min"] = rate ? Json(rate->value) : Json();
  json["predicted_g_per_10min_low"] = rate ? Json(rate->low) : Json();
  json["predicted_g_per_10min_high"] = rate ? Json(rate->high) : Json();
  json["of_grade_g_per_10min"] = m.melt_flow_rate > 0.0 ? Json(m.melt_flow_rate) : Json();
  json["law_scaled_to_it"] = m.fitted_to_melt_flow_rate;
  return json;
}

Json thermal_json(const Material& m) {
  Json capacity = Json::array();
  for (std::size_t i = 0; i < m.heat_capacity.value.size(); ++i)
    capacity.push_back({{"temperature_C", tidy_celsius(m.heat_capacity.temperature[i])},
                        {"heat_capacity_J_per_kg_K", m.heat_capacity.value[i]}});
  return {{"no_flow_temperature_C",
           m.no_flow_temperature > 0.0 ? Json(tidy_celsius(m.no_flow_temperature)) : Json()},
          {"ejection_temperature_C", tidy_celsius(m.ejection_temperature)},
          {"density_melt_kg_per_m3", m.density_melt},
          {"conductivity_W_per_m_K", m.conductivity},
          {"heat_capacity", std::move(capacity)}};
}

Json pvt_json(const TaitPvt& pvt) {
  return {{"transition_temperature_C", tidy_celsius(pvt.b5)},
          {"transition_shift_K_per_Pa", pvt.b6},
          {"melt_volume_m3_per_kg", pvt.b1m},
          {"melt_expansion_m3_per_kg_K", pvt.b2m},
          {"melt_stiffness_Pa", pvt.b3m},
          {"melt_softening_1_per_K", pvt.b4m},
          {"solid_volume_m3_per_kg", pvt.b1s},
          {"solid_expansion_m3_per_kg_K", pvt.b2s},
          {"solid_stiffness_Pa", pvt.b3s},
          {"solid_softening_1_per_K", pvt.b4s}};
}

}  // namespace

ViscosityTable viscosity_table(const Material& material, int rates_per_decade) {
  constexpr int first_decade = 1, last_decade = 5;  // 10 to 1e5 1/s: from slow runners to gates
  ViscosityTable table;
  const double low = material.melt_temperature_min;
  const double high = material.melt_temperature_max;
  for (int c = 0; c < columns; ++c)
    table.temperature.push_back(low + (high - low) * c / (columns - 1));
  for (int k = 0; k <= (last_decade - first_decade) * rates_per_decade; ++k)
    table.shear_rate.push_back(
        std::pow(10.0, first_decade + k / static_cast<double>(rates_per_decade)));
  for (const double rate : table.shear_rate) {
    std::vector<double>& row = table.viscosity.emplace_back();
    for (const double T : table.temperature)
      row.push_back(viscosity(material.viscosity, rate, T, 0.0));
  }
  return table;
}

std::string material_report_text(const Material& m) {
  std::string text = fmt::format("{}: {}\n\n", m.name, m.grade);
  text += viscosity_text(m) + '\n' + melt_flow_text(m) + '\n' + thermal_text(m) + '\n';
  text += fmt::format("Valid for melt at {:.0f} to {:.0f} °C in a mould at {:.0f} to {:.0f} °C\n\n",
                      celsius(m.melt_temperature_min), celsius(m.melt_temperature_max),
                      celsius(m.mould_temperature_min), celsius(m.mould_temperature_max));
  text += "Sources\n";
  for (const auto& [quantities, source] : grouped(m.sources))
    text += "  " + wrapped(quantities + ":", 4) + "\n    " + wrapped(source, 4) + '\n';
  text += "\nCautions\n";
  for (const std::string& caution : cautions()) text += "  - " + wrapped(caution, 4) + '\n';
  return text;
}

std::string material_report_json(const Material& m) {
  Json sources = Json::array();
  for (const Material::Source& s : m.sources)
    sources.push_back({{"quantity", s.quantity}, {"source", s.source}});
  const Json report = {{"schema_version", 1},
                       {"name", m.name},
                       {"grade", m.grade},
                       {"viscosity", viscosity_json(m)},
                       {"melt_flow_rate", melt_flow_json(m)},
                       {"thermal", thermal_json(m)},
                       {"pvt", pvt_json(m.pvt)},
                       {"valid",
                        {{"melt_temperature_min_C", tidy_celsius(m.melt_temperature_min)},
                         {"melt_temperature_max_C", tidy_celsius(m.melt_temperature_max)},
                         {"mould_temperature_min_C", tidy_celsius(m.mould_temperature_min)},
                         {"mould_temperature_max_C", tidy_celsius(m.mould_temperature_max)}}},
                       {"sources", std::move(sources)},
                       {"cautions", cautions()}};
  constexpr int indent = 2;
  return report.dump(indent) + '\n';
}

std::string material_curves_csv(const Material& material) {
  constexpr int curve_density = 10;
  const ViscosityTable table = viscosity_table(material, curve_density);
  std::string text = "shear_rate_1_per_s";
  for (const double T : table.temperature)
    text += fmt::format(",viscosity_Pa_s_at_{}_C", tidy_celsius(T));
  text += '\n';
  for (std::size_t i = 0; i < table.shear_rate.size(); ++i) {
    text += fmt::format("{:.6g}", table.shear_rate[i]);
    for (const double eta : table.viscosity[i]) text += fmt::format(",{:.6g}", eta);
    text += '\n';
  }
  return text;
}

}  // namespace firstshot
