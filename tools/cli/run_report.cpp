#include "tools/cli/run_report.hpp"

#include <algorithm>
#include <iterator>
#include <vector>

#include <fmt/format.h>

#include "io/outcome_names.hpp"
#include "io/summary_balance.hpp"
#include "solver/assess/balance_figures.hpp"
#include "solver/whole/frame_balance.hpp"
#include "tools/cli/cycle_report.hpp"

namespace firstshot {
namespace {

constexpr double MPa = 1e6, bar = 1e5, kN = 1e3, percent = 0.01, mm3 = 1e-9, mm = 1e-3;
constexpr std::size_t last_parts_shown = 3;
constexpr std::size_t short_parts_shown = 12;

std::string headline(const Setup& setup, const Result& r) {
  const std::string title = setup.title.empty() ? "The case" : setup.title;
  switch (r.outcome) {
    case Outcome::filled:
      return fmt::format("{}: every cavity fills, the last one at {:.3f} s.", title, r.fill_time);
    case Outcome::interrupted:
      return fmt::format("{}: stopped on request at {:.3f} s, {:.1f} % full.", title, r.state.time,
                         r.filled_fraction / percent);
    case Outcome::pressure_limit:
    case Outcome::frozen:
    case Outcome::air:
    case Outcome::time_limit:
      return fmt::format("{}: NOT FULL, {:.1f} % of the shot at {:.3f} s.", title,
                         r.filled_fraction / percent, r.state.time);
  }
  return title;
}

/// "deck 0.702 s, stand-2 0.695 s": the parts that fill last, the very last first.
std::string last_parts(const Result& r) {
  std::vector<const PartResult*> full;
  for (const PartResult& p : r.parts)
    if (p.full >= 0.0) full.push_back(&p);
  std::stable_sort(full.begin(), full.end(),
                   [](const auto* a, const auto* b) { return a->full > b->full; });
  std::string text;
  for (std::size_t i = 0; i < std::min(full.size(), last_parts_shown); ++i)
    text += fmt::format("{}{} {:.3f} s", i == 0 ? "" : ", ", full[i]->name, full[i]->full);
  return text.empty() ? "no part is full" : text;
}

std::string short_parts(const Result& r) {
  std::string text;
  std::size_t shown = 0, all = 0;
  for (const PartResult& p : r.parts) {
    if (p.full >= 0.0) continue;
    if (++all > short_parts_shown) continue;
    ++shown;
    fmt::format_to(std::back_inserter(text), "not full       {}: {:.1f} % of {:.0f} mm3{}\n",
                   p.name, p.filled_fraction / percent, p.volume / mm3,
                   p.first_melt < 0.0 ? ", no melt arrives" : "");
  }
  if (all > shown)
    text += fmt::format("not full       and {} more parts, see summary.json\n", all - shown);
  return text;
}

std::string pressure_line(const Setup& setup, const Result& r) {
  std::string text = fmt::format("peak pressure  {:.1f} MPa of the melt at the injection point",
                                 r.peak_pressure / MPa);
  if (setup.press.intensification > 0.0) {
    const double gauge = r.peak_pressure / setup.press.intensification;
    text += fmt::format(
        "; {:.2f} MPa ({:.0f} bar) at the hydraulic gauge of a press with a ratio of {:g}",
        gauge / MPa, gauge / bar, setup.press.intensification);
  }
  const auto [low, high] = viscosity_range(r.peak_pressure, setup.material.viscosity_band,
                                           setup.process.injection_pressure_max);
  text += fmt::format(
      "\n               {:.0f} to {:.0f} MPa, as the viscosity of {} is known to {:.0f} % only\n",
      low / MPa, high / MPa, setup.material.name, setup.material.viscosity_band / percent);
  return text;
}

std::string gate_line(const Result& r) {
  const auto worst = std::max_element(
      r.gates.begin(), r.gates.end(),
      [](const GateResult& a, const GateResult& b) { return a.pressure_loss < b.pressure_loss; });
  if (worst == r.gates.end() || worst->pressure_loss <= 0.0) return "";
  return fmt::format("gates          the largest loss is {:.1f} MPa in {}\n",
                     worst->pressure_loss / MPa, worst->name);
}

/// Weight, gates and size after holding, or why there is none of it.
std::string hold_lines(const Result& r) {
  constexpr double gram = 1e-3;
  const HoldResult& h = r.hold;
  if (!h.held) return fmt::format("holding        none: {}\n", h.note);
  std::string text = fmt::format(
      "shot weight    {:.2f} g, of it {:.2f} g parts; held {:.2f} s from switch-over on",
      h.shot_mass / gram, h.part_mass / gram, h.holding_time);
  if (h.gate_freeze >= 0.0)
    text += fmt::format(", the last gate is solid after {:.2f} s",
                        h.gate_freeze - r.state.switch_over_time);
  else if (!r.gates.empty() || !h.area_gates.empty())
    text += ", not all gates freeze";
  text += fmt::format(
      "\nshrinkage      {:.2f} % of the volume, {:.2f} % in the plane ({:.2f} to {:.2f} %): a "
      "cavity {:.4f} times the size of the part\n",
      h.volume_mean / percent, h.linear_mean / percent, h.linear_min / percent,
      h.linear_max / percent, h.scale);
  if (!h.sinks.empty())
    text += fmt::format("sinks          first at ({:.1f}, {:.1f}) mm in {} (a ranking, no depth)\n",
                        h.sinks.front().at.x / mm, h.sinks.front().at.y / mm, h.sinks.front().part);
  return text;
}

std::string air_lines(const Result& r) {
  constexpr double zero_celsius = 273.15;
  constexpr std::size_t most_shown = 4;
  std::string text;
  std::size_t shown = 0, all = 0;
  for (const AirPocketResult& pocket : r.air_pockets) {
    // What the verdict names is not said twice.
    if (!pocket.proposal || pocket.trapped || pocket.may_scorch) continue;
    ++all;
    if (shown == most_shown) continue;
    ++shown;
    fmt::format_to(
        std::back_inserter(text),
        "air            {} at ({:.1f}, {:.1f}) mm: up to {:.1f} MPa and {:.0f} degC, {}\n"
        "               {}\n",
        pocket.part, pocket.at.x / mm, pocket.at.y / mm, pocket.peak_pressure / MPa,
        pocket.peak_temperature - zero_celsius,
        pocket.vented ? "gets out" : fmt::format("{:.3g} mm3 stay", pocket.volume / mm3),
        pocket.proposal->text);
  }
  if (all > shown)
    text += fmt::format("air            and {} more pockets, see summary.json\n", all - shown);
  return text;
}

/// What the second side sees when the first is full.
std::string side_lines(const Result& r) {
  constexpr double cm3 = 1e-6;
  std::string text;
  for (const SideChange& c : r.sides)
    fmt::format_to(std::back_inserter(text),
                   "sides          the {} one is full at {:.3f} s, the {} one later: the pressure "
                   "goes from {:.1f} "
                   "to {:.1f} MPa within {:.0f} ms, and {:.1f} instead of {:.1f} cm3/s go {}\n",
                   side_name(c.first), c.time, side_name(c.second), c.pressure_before / MPa,
                   c.pressure_after / MPa, 2e3 * c.window, c.flow_after / cm3, c.flow_before / cm3,
                   side_name(c.second));
  return text;
}

/// Where the pressure was spent on the way to the place that melt reaches last.
std::string path_line(const Setup& setup, const Result& r) {
  const FlowPath* path = last_path(setup.model, r);
  if (path == nullptr) return "";
  return fmt::format(
      "last way       {:.0f} mm to the last place in {}, {:.0f} times the walls on it; of {:.1f} "
      "MPa "
      "{:.1f} go into the\n               sprue, {:.1f} into runners, {:.1f} into gates, {:.1f} "
      "into "
      "parts, and air holds against {:.1f}\n",
      path->length / mm, setup.model.regions[static_cast<std::size_t>(path->region)].name,
      path->length_over_thickness, r.peak_pressure / MPa, path->sprue / MPa, path->runners / MPa,
      path->gates / MPa, path->parts / MPa, path->air / MPa);
}

std::string scorch_line(const Result& r) {
  if (r.scorch.empty()) return "";
  const ShutOffStretch& s = r.scorch.front();
  const double mean = s.energy / s.share;
  double length = 0.0;
  for (const ShutOffStretch& other : r.scorch) length += other.length;
  return fmt::format(
      "soot           most compressed air leaves at {} by ({:.1f}, {:.1f}) mm, {:.1f} times as "
      "much "
      "per length as the mean\n               (a relative ranking of the shut-off, see "
      "summary.json)\n",
      s.place, s.at.x / mm, s.at.y / mm, s.per_length / (mean / length));
}

constexpr std::size_t findings_shown = 12;

/// Severity, sentence and place of each finding, the worst first.
std::string verdict_text(const Verdict& verdict) {
  std::string text = verdict.approved
                         ? "verdict        approved: nothing found that stops the mould\n"
                         : "verdict        NOT APPROVED\n";
  std::size_t shown = 0;
  for (const Finding& f : verdict.findings) {
    if (++shown > findings_shown) break;
    fmt::format_to(std::back_inserter(text), "  {}         {}", severity_name(f.severity), f.text);
    if (f.at)
      fmt::format_to(std::back_inserter(text), " (at {:.1f}, {:.1f} mm)", f.at->x / mm,
                     f.at->y / mm);
    text += "\n";
  }
  if (verdict.findings.size() > findings_shown)
    text += fmt::format("               and {} more, see summary.json\n",
                        verdict.findings.size() - findings_shown);
  return text;
}

}  // namespace

std::string run_text(const Setup& setup, const Result& r, const std::filesystem::path& folder) {
  std::string text = headline(setup, r) + "\n";
  const bool is_short = r.outcome != Outcome::filled && r.outcome != Outcome::interrupted;
  if (is_short && !r.cause.empty()) text += r.cause + "\n";
  text += fmt::format("full last      {}\n", last_parts(r));
  if (r.outcome != Outcome::interrupted) text += short_parts(r);
  text += pressure_line(setup, r);
  const double force = r.peak_opening_force;
  text += fmt::format("opening force  {:.0f} kN while {}, the press clamps with {:.0f} kN{}\n",
                      force / kN,
                      r.hold.held && r.hold.peak_opening_force >= force ? "holding" : "filling",
                      setup.press.clamp_force / kN,
                      force > setup.press.clamp_force ? ": THE MOULD WOULD OPEN" : "");
  text += path_line(setup, r);
  text += gate_line(r);
  text += hold_lines(r);
  text += side_lines(r);
  text += air_lines(r);
  text += scorch_line(r);
  text += cycle_text(setup, r);
  text += verdict_text(r.verdict);
  text += fmt::format("files          {}\n", folder.string());
  text +=
      "Estimates, no release of a mould. Hot melt, high pressure and moving platens: follow the "
      "machine's manual\n"
      "and local codes; settings are for a qualified setter.\n";
  return text;
}

}  // namespace firstshot
