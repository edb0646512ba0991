#include "io/judged_shot.hpp"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::json;

double number_or_unknown(const Json& table, const char* name) {
  const auto found = table.find(name);
  return found != table.end() && found->is_number() ? found->get<double>() : unknown_load;
}

/// Of the largest rest that stayed empty.
bool froze(const Json& summary) {
  std::string cause = summary.at("fill").at("outcome") == "frozen" ? "freezing" : "";
  double largest = 0.0;
  for (const Json& rest : summary.at("short_shots")) {
    const double unfilled = rest.at("unfilled_mm3").get<double>();
    if (unfilled < largest) continue;
    largest = unfilled;
    cause = rest.at("cause").get<std::string>();
  }
  return cause == "freezing" || cause == "gate_frozen";
}

/// Takes the first of the rules that the verdict found broken.
void judge_full(const Json& findings, WindowShot& shot) {
  struct Rule {
    const char* name;
    ShotClass kind;
  };
  constexpr std::array<Rule, 3> rules = {{{"injection_pressure", ShotClass::over_pressure},
                                          {"clamp_force", ShotClass::over_clamp},
                                          {"may_scorch", ShotClass::scorch}}};
  shot.kind = ShotClass::fills;
  for (const Rule& rule : rules)
    for (const Json& finding : findings) {
      if (finding.at("rule") != rule.name) continue;
      shot.kind = rule.kind;
      shot.limit = number_or_unknown(finding, "limit");
      return;
    }
}

JudgedShot judged(const Json& summary) {
  JudgedShot out;
  const Json& fill = summary.at("fill");
  out.shot.pressure = number_or_unknown(fill, "peak_pressure_MPa");
  out.shot.clamp = number_or_unknown(summary.at("clamp"), "peak_kN");
  for (const Json& pocket : summary.at("air_pockets")) {
    const double hot = number_or_unknown(pocket, "peak_temperature_C");
    if (!(out.shot.gas_temperature >= hot)) out.shot.gas_temperature = hot;
  }
  out.filled = fill.at("filled_fraction").get<double>();
  const Json& findings = summary.at("verdict").at("findings");
  for (const Json& finding : findings)
    if (out.stop.empty() && finding.at("severity") == "stop") out.stop = finding.at("text");
  if (fill.at("outcome") != "filled" || !summary.at("short_shots").empty())
    out.shot.kind = froze(summary) ? ShotClass::too_cold : ShotClass::short_shot;
  else
    judge_full(findings, out.shot);
  return out;
}

}  // namespace

JudgedShot judged_shot(const std::string& summary) {
  try {
    return judged(Json::parse(summary));
  } catch (const Json::exception&) {
    throw Error("summary.json of this run cannot be read");
  }
}

}  // namespace firstshot
