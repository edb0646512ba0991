#include "solver/whole/verdict.hpp"

#include <algorithm>
#include <cmath>

#include "solver/assess/balance_figures.hpp"
#include "solver/assess/barrel.hpp"
#include "solver/assess/flash.hpp"
#include "solver/whole/hold_rules.hpp"
#include "solver/whole/make_finding.hpp"
#include "solver/whole/verdict_cycle.hpp"

namespace firstshot {
namespace {

constexpr const char* limits = "[limits] in the case; default: common practice, no source";
constexpr double MPa = 1e6, kN = 1e3, percent = 0.01, mm = 1e-3, mm3 = 1e-9, cm3 = 1e-6,
                 gram = 1e-3;
constexpr double zero_celsius = 273.15;

/// A finding on a measured value and its limit, both in `unit`.
Finding measured(const char* rule, Severity severity, const char* unit, double value, double limit,
                 std::string text) {
  return make_finding(rule, severity, {unit, value, limit}, std::move(text), limits);
}

/// What would have filled a part, and whether the press has it.
std::string what_fills(const Setup& setup, const Result& r, const ShortShot& s) {
  std::string text;
  if (s.pressure_needed) {
    text = sentence(
        "; the melt stood at %.3g MPa at the injection point, about %.3g MPa would fill it "
        "(estimate)",
        r.state.injection_pressure / MPa, *s.pressure_needed / MPa);
    if (*s.pressure_needed > setup.press.melt_pressure_max)
      text +=
          sentence(", more than the %.0f MPa of the press", setup.press.melt_pressure_max / MPa);
  }
  if (s.speed_needed) {
    text += sentence("; about %.1f times the speed would fill it (estimate)", *s.speed_needed);
    double set = 0.0;
    for (const SpeedStep& step : setup.process.speed) set = std::max(set, step.flow_rate);
    const double most = screw_area(setup.press) * setup.press.speed_max;
    if (*s.speed_needed * set > most)
      text += sentence(", more than the %.0f cm3/s of the press", most / cm3);
  }
  const bool lacks = s.cause == ShortCause::pressure || s.cause == ShortCause::freezing ||
                     s.cause == ShortCause::gate_frozen;
  if (lacks && text.empty())
    text =
        "; so little of it is full that no pressure or speed can be named: a thicker wall, a "
        "larger "
        "gate or a shorter way is what helps";
  return text;
}

void rule_short_shot(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  for (const ShortShot& s : r.short_shots) {
    std::string text = sentence("%s stays short by %.1f mm3: %s", s.part.c_str(), s.unfilled / mm3,
                                short_cause_words(s.cause));
    text += what_fills(setup, r, s);
    Finding f = measured("short_shot", Severity::stop, "mm3", s.unfilled / mm3, 0.0, text);
    f.source = "every cavity must be full";
    f.part = s.part;
    f.at = s.at;
    findings.push_back(f);
  }
  if (r.outcome == Outcome::filled || !r.short_shots.empty()) return;
  Finding f;  // a channel is not full, or the last share of a part was rounding
  f.rule = "not_full";
  f.severity = Severity::stop;
  f.text = (r.filled_fraction < 1.0 ? "the shot is not full: " : "the run did not end: ") + r.cause;
  f.source = "every cavity must be full";
  f.unit = "1";
  f.value = r.filled_fraction;
  f.limit = 1.0;
  f.margin = r.filled_fraction - 1.0;
  findings.push_back(f);
}

void rule_pressure(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  const double most = setup.process.injection_pressure_max;
  if (most <= 0.0 || setup.process.constant_pressure > 0.0) return;
  const double limit = setup.limits.pressure_share * most;
  if (r.peak_pressure <= limit) return;
  findings.push_back(measured(
      "injection_pressure", Severity::look, "MPa", r.peak_pressure / MPa, limit / MPa,
      sentence(
          "filling takes %.1f MPa of the %.0f MPa that the press is set to; above %.0f %% there "
          "is no room left for a stiffer lot or a colder mould",
          r.peak_pressure / MPa, most / MPa, setup.limits.pressure_share / percent)));
}

void rule_clamp(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  const double limit = setup.limits.clamp_share * setup.press.clamp_force;
  if (r.peak_opening_force <= limit) return;
  const bool opens = r.peak_opening_force > setup.press.clamp_force;
  findings.push_back(measured(
      "clamp_force", opens ? Severity::stop : Severity::look, "kN", r.peak_opening_force / kN,
      limit / kN,
      sentence("the melt opens the mould with %.0f kN while %s, the press holds %.0f kN: %s",
               r.peak_opening_force / kN,
               r.hold.peak_opening_force >= r.peak_opening_force ? "holding" : "filling",
               setup.press.clamp_force / kN, opens ? "it would flash" : "too near to flashing")));
}

void rule_balance(const Setup& setup, const Result& r, const FrameFigures& figures,
                  std::vector<Finding>& findings) {
  // As `balance` has it: the last corner fills slowly and under holding pressure, and presses
  // nothing into the others.
  std::vector<double> full, nearly;
  for (const PartResult& p : r.parts) {
    full.push_back(p.full);
    nearly.push_back(p.nearly_full);
  }
  const auto spread = fill_time_spread(nearly);
  if (spread && fill_time_spread(full)) {  // a short part has its own finding
    const auto [first, last] = std::minmax_element(
        r.parts.begin(), r.parts.end(),
        [](const PartResult& a, const PartResult& b) { return a.nearly_full < b.nearly_full; });
    const PartResult &early = *first, &late = *last;
    const double share = late.nearly_full > 0.0 ? *spread / late.nearly_full : 0.0;
    if (share > setup.limits.fill_time_spread) {
      Finding f = measured(
          "fill_time_spread", Severity::look, "1", share, setup.limits.fill_time_spread,
          sentence("%s is nearly full (98 %%) at %.3f s, %s at %.3f s: early parts are "
                   "packed for %.0f %% of that time while others still fill; up to "
                   "%.0f %% is usual",
                   early.name.c_str(), early.nearly_full, late.name.c_str(), late.nearly_full,
                   share / percent, setup.limits.fill_time_spread / percent));
      f.part = early.name;
      findings.push_back(f);
    }
  }
  const auto weigh = [&](const char* rule, const char* a, double ma, const char* b, double mb) {
    const double share = figures.mass > 0.0 ? std::abs(ma - mb) / figures.mass : 0.0;
    if (share <= setup.limits.side_weight) return;
    findings.push_back(measured(
        rule, Severity::look, "1", share, setup.limits.side_weight,
        sentence("%.2f g lie %s the injection point and %.2f g %s it, a difference of %.0f %% "
                 "of the shot; up to %.0f %% is usual",
                 ma / gram, a, mb / gram, b, share / percent, setup.limits.side_weight / percent)));
  };
  weigh("weight_left_right", "left of", figures.mass_left, "right of", figures.mass_right);
  weigh("weight_top_bottom", "above", figures.mass_top, "below", figures.mass_bottom);
}

/// One finding for all gates, on the worst. Lists of what a melt stands in a gate have no source
/// that says how they were measured, so this rule speaks only with the shop's own limit.
void rule_gates(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  if (!setup.limits.gate_shear_rate) return;
  const double limit = *setup.limits.gate_shear_rate;
  const GateResult* worst = nullptr;
  int count = 0;
  for (const GateResult& g : r.gates) {
    if (g.peak_shear_rate <= limit) continue;
    ++count;
    if (worst == nullptr || g.peak_shear_rate > worst->peak_shear_rate) worst = &g;
  }
  if (worst == nullptr) return;
  Finding f = measured(
      "gate_shear_rate", Severity::look, "1/s", worst->peak_shear_rate, limit,
      sentence("%d gate%s shear the melt above %.0f 1/s, gate %s most with %.0f 1/s: it "
               "may tear and streak; a larger gate shears less",
               count, count == 1 ? "" : "s", limit, worst->name.c_str(), worst->peak_shear_rate));
  f.source = "limits.gate_shear_rate in the case";
  f.part = worst->part;
  findings.push_back(f);
}

/// One finding per part with a weld line on a visible face, on its coldest line.
void rule_welds(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  const double limit = setup.process.melt_temperature - setup.limits.weld_cooling;
  for (const PartResult& part : r.parts) {
    const WeldLine* worst = nullptr;
    int count = 0;
    for (const WeldLine& w : r.weld_lines) {
      if (w.in_channel || !w.visible || w.part != part.name || w.kind != MeetingKind::weld)
        continue;
      ++count;
      if (worst == nullptr || w.temperature_min < worst->temperature_min) worst = &w;
    }
    if (worst == nullptr) continue;
    const bool cold = worst->temperature_min < limit;
    const Point at = worst->points[worst->points.size() / 2].at;
    Finding f = measured(
        cold ? "cold_weld_line" : "visible_weld_line", cold ? Severity::look : Severity::note,
        "degC", worst->temperature_min - zero_celsius, limit - zero_celsius,
        sentence("%s: %d weld line%s on the visible face; the coldest is %.1f mm long and meets at "
                 "%.0f degC%s",
                 part.name.c_str(), count, count == 1 ? "" : "s", worst->length / mm,
                 worst->temperature_min - zero_celsius,
                 cold ? ", where fronts no longer weld well" : ""));
    f.margin = (worst->temperature_min - limit) / setup.limits.weld_cooling;
    f.part = part.name;
    f.at = at;
    findings.push_back(f);
  }
}

void rule_air(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  for (const AirPocketResult& a : r.air_pockets) {
    if (!a.trapped && !a.may_scorch) continue;
    const char* rule = a.may_scorch ? "may_scorch" : "trapped_air";
    std::string text =
        a.may_scorch
            ? sentence("%s: air is pressed to %.1f MPa and reaches %.0f degC: it may scorch",
                       a.part.c_str(), a.peak_pressure / MPa, a.peak_temperature - zero_celsius)
            : sentence("%s: air does not get out; %.2f mm3 stay at %.1f MPa", a.part.c_str(),
                       a.volume / mm3, a.pressure / MPa);
    if (!a.may_scorch && a.hollow >= 0.0)
      text += sentence(", a void of %.2f mm3 after holding", a.hollow / mm3);
    if (a.proposal) text += "; " + a.proposal->text;
    Finding f = a.may_scorch
                    ? measured(rule, Severity::look, "degC", a.peak_temperature - zero_celsius,
                               setup.air.scorch_temperature - zero_celsius, std::move(text))
                    : measured(rule, Severity::look, "mm3", a.volume / mm3, 0.0, std::move(text));
    f.source = a.may_scorch ? "air.scorch_temperature in the case" : "caught air must get out";
    f.part = a.part;
    f.at = a.at;
    findings.push_back(f);
  }
}

void rule_flash(const Setup& setup, std::vector<Finding>& findings) {
  constexpr double um = 1e-6;
  for (const FlashGap& gap : flash_gaps(setup)) {
    Finding f =
        measured("flash", Severity::stop, "um", gap.depth / um, setup.material.vent_depth_max / um,
                 flash_sentence(gap, setup.material) + "; metal that is gone stays gone");
    f.source = flash_source;
    f.at = gap.at;
    findings.push_back(f);
  }
}

}  // namespace

Verdict judge(const Setup& setup, const Result& result, const FrameFigures& figures) {
  Verdict v;
  rule_short_shot(setup, result, v.findings);
  rule_pressure(setup, result, v.findings);
  rule_clamp(setup, result, v.findings);
  rule_balance(setup, result, figures, v.findings);
  rule_gates(setup, result, v.findings);
  rule_flash(setup, v.findings);
  rule_air(setup, result, v.findings);
  rule_welds(setup, result, v.findings);
  judge_hold(setup, result, v.findings);
  for (Finding& f : cycle_findings(setup, result)) v.findings.push_back(std::move(f));
  std::stable_sort(v.findings.begin(), v.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.severity < b.severity; });
  v.approved = v.findings.empty() || v.findings.front().severity != Severity::stop;
  return v;
}

}  // namespace firstshot
