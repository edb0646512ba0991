#include "solver/whole/hold_rules.hpp"

#include <algorithm>
#include <cmath>

#include "solver/whole/make_finding.hpp"

namespace firstshot {
namespace {

constexpr double percent = 0.01, MPa = 1e6;
constexpr const char* practice = "common practice, no source";
/// A part longer than its cavity sticks.
constexpr double least_linear = 0.0;
/// Parts of one frame whose shrinkage differs by more do not go together well.
constexpr double most_spread = 0.003;
/// Holding this much longer than the gates are open brings nothing.
constexpr double idle_share = 0.25, idle_time = 0.5;

Finding finding(const char* rule, Severity severity, const char* unit, double value, double limit,
                std::string text) {
  return make_finding(rule, severity, {unit, value, limit}, std::move(text), practice);
}

/// A gate, however it came.
struct Shut {
  std::string gate, part;
  double freeze = -1.0;
};
std::vector<Shut> all_gates(const Result& r) {
  std::vector<Shut> gates;
  for (const GateResult& g : r.gates) gates.push_back({g.name, g.part, g.freeze});
  for (const AreaGate& g : r.hold.area_gates) gates.push_back({g.gate, g.gate, g.freeze});
  return gates;
}

void rule_gates_open(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  const HoldResult& h = r.hold;
  const double switched = r.state.switch_over_time;
  const std::vector<Shut> gates = all_gates(r);
  if (setup.process.holding.empty() || h.release < 0.0) return;
  const Shut* open = nullptr;
  int count = 0;
  for (const Shut& g : gates) {
    if (g.freeze >= 0.0 && g.freeze <= h.release) continue;
    ++count;
    const bool later =
        open == nullptr || g.freeze < 0.0 || (open->freeze >= 0.0 && g.freeze > open->freeze);
    if (later) open = &g;
  }
  if (open == nullptr) return;
  const double needed = open->freeze < 0.0 ? 0.0 : open->freeze - switched;
  std::string text = sentence("%d gate%s still open when holding ends after %.2f s", count,
                              count == 1 ? " is" : "s are", h.holding_time);
  text +=
      open->freeze < 0.0
          ? sentence("; gate %s does not freeze at all while it is looked at", open->gate.c_str())
          : sentence("; gate %s is the last to freeze, after %.2f s", open->gate.c_str(), needed);
  text += ": melt flows back, and weight and size depend on the clock";
  Finding f =
      finding("holding_too_short", Severity::look, "s", h.holding_time, needed, std::move(text));
  f.margin = needed > 0.0 ? std::optional((h.holding_time - needed) / needed) : std::nullopt;
  f.source = "holding must last until the gates are solid; common practice, no source";
  f.part = open->part;
  findings.push_back(f);
}

void rule_never(const Result& r, std::vector<Finding>& findings) {
  if (r.state.hold.gave_up == 0.0) return;
  findings.push_back(finding(
      "never_frozen", Severity::look, "s", r.hold.holding_time, longest_holding,
      sentence("after %.0f s under pressure melt still reaches the parts: the way to them does not "
               "freeze, so the mould is too hot or the channels are too thick for this cycle",
               r.hold.holding_time)));
}

void rule_idle(const Setup& setup, const Result& r, std::vector<Finding>& findings) {
  const HoldResult& h = r.hold;
  if (setup.process.holding.empty() || h.gate_freeze < 0.0 || h.release < 0.0) return;
  const double needed = h.gate_freeze - r.state.switch_over_time;
  const double limit = needed + std::max(idle_share * needed, idle_time);
  if (h.holding_time <= limit) return;
  findings.push_back(finding(
      "holding_too_long", Severity::note, "s", h.holding_time, limit,
      sentence("the last gate is solid %.2f s after switch-over, holding goes on to %.2f s: "
               "the rest only presses the runners",
               needed, h.holding_time)));
}

void rule_overpacked(const Result& r, std::vector<Finding>& findings) {
  const PartShrinkage* worst = nullptr;
  int count = 0;
  for (const PartShrinkage& p : r.hold.parts) {
    if (p.linear >= least_linear) continue;
    ++count;
    if (worst == nullptr || p.linear < worst->linear) worst = &p;
  }
  if (worst == nullptr) return;
  Finding f = finding(
      "overpacked", Severity::look, "1", worst->linear, least_linear,
      sentence("%d part%s pressed so much that cold and free they are no smaller than the cavity, "
               "%s most (%.2f %%, frozen at %.0f MPa): they may stick in the mould",
               count, count == 1 ? " is" : "s are", worst->part.c_str(), worst->linear / percent,
               worst->frozen_pressure / MPa));
  f.part = worst->part;
  findings.push_back(f);
}

void rule_spread(const Result& r, std::vector<Finding>& findings) {
  const auto& parts = r.hold.parts;
  if (parts.size() < 2) return;
  const auto [least, most] = std::minmax_element(
      parts.begin(), parts.end(),
      [](const PartShrinkage& a, const PartShrinkage& b) { return a.linear < b.linear; });
  const double spread = most->linear - least->linear;
  if (spread <= most_spread) return;
  Finding f = finding(
      "uneven_shrinkage", Severity::look, "1", spread, most_spread,
      sentence("%s shrinks by %.2f %%, %s by %.2f %%: parts that fit each other would not; up to "
               "%.1f %% apart is usual",
               most->part.c_str(), most->linear / percent, least->part.c_str(),
               least->linear / percent, most_spread / percent));
  f.part = most->part;
  findings.push_back(f);
}

}  // namespace

void judge_hold(const Setup& setup, const Result& result, std::vector<Finding>& findings) {
  if (!result.hold.held || result.state.hold.mode != HoldMode::done) return;
  rule_never(result, findings);
  rule_gates_open(setup, result, findings);
  rule_idle(setup, result, findings);
  rule_overpacked(result, findings);
  rule_spread(result, findings);
}

}  // namespace firstshot
