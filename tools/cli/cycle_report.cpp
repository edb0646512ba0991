#include "tools/cli/cycle_report.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double mm = 1e-3, percent = 0.01, zero_celsius = 273.15, minute = 60.0;

const char* decided_by(CycleLimit limit) {
  switch (limit) {
    case CycleLimit::parts:
      return "the parts decide";
    case CycleLimit::runners:
      return "runners and sprue decide";
    case CycleLimit::screw:
      return "the screw decides";
    case CycleLimit::set:
      return "cooling time as set";
  }
  return "";
}

const CooledPiece* slowest(const std::vector<CooledPiece>& pieces) {
  const auto it = std::max_element(
      pieces.begin(), pieces.end(),
      [](const CooledPiece& a, const CooledPiece& b) { return a.ejectable < b.ejectable; });
  return it == pieces.end() || it->ejectable < 0.0 ? nullptr : &*it;
}

std::string cooling_lines(const CycleResult& c) {
  std::string text;
  if (const CooledPiece* part = slowest(c.parts))
    text += fmt::format("cooling        parts may be ejected at {:.1f} s ({})",
                        c.parts_ejectable.value, part->name);
  if (const CooledPiece* channel = slowest(c.channels))
    text += fmt::format("{}runners at {:.1f} s ({})", text.empty() ? "cooling        " : ", ",
                        c.runners_ejectable.value, channel->name);
  if (!text.empty()) text += " after the start of injection\n";
  if (c.runner_cost > 0.0)
    text += fmt::format(
        "               thick runners cost {:.1f} s per shot; a tenth thinner they would save "
        "{:.1f} s\n",
        c.runner_cost, c.thinner_runner_saves);
  if (c.deciding)
    text += fmt::format(
        "               {} alone decides; as thin as cools like {:.1f} instead of {:.1f} mm it "
        "would "
        "save {:.1f} s, then {} decides\n",
        c.deciding->piece.name, c.deciding->enough * c.deciding->piece.gap / mm,
        c.deciding->piece.gap / mm, c.deciding->enough_saves, c.deciding->next);
  return text;
}

std::string mould_line(const MouldBalance& m) {
  if (!m.follows)
    return fmt::format(
        "mould          faces at {:.1f} and {:.1f} degC as set; cooling channels in the case would "
        "say what that takes\n",
        m.surface_fixed - zero_celsius, m.surface_moving - zero_celsius);
  return fmt::format(
      "mould          faces at {:.1f} (fixed) and {:.1f} degC (moving) from the cooling channels, "
      "{:.0f} and {:.0f} W;\n               warm after {} shots\n",
      m.fixed.surface - zero_celsius, m.moving.surface - zero_celsius, m.fixed.power,
      m.moving.power, m.shots_to_warm);
}

std::string heat_line(const ShotEnergy& e) {
  constexpr double kJ = 1e3;
  return fmt::format(
      "heat           {:.1f} kJ come with the melt of a shot, {:.1f} kJ from the screw; {:.1f} kJ "
      "go "
      "into the mould, {:.1f} kJ leave with the frame\n",
      e.melt / kJ, e.work / kJ, (e.fixed + e.moving) / kJ, e.left / kJ);
}

std::string ejection_line(const EjectionFigures& e) {
  const PartGrip* most = nullptr;
  for (const PartGrip& g : e.parts)
    if (g.release && (most == nullptr || g.release->force > most->release->force)) most = &g;
  if (most == nullptr) return "";
  const ReleaseForce& f = *most->release;
  return fmt::format(
      "ejection       {} hold{} on to steel; {} most, with {:.0f} N ({:.0f} to {:.0f}); its pins "
      "push {:.0f} N, its gates carry {:.0f} N\n",
      e.parts.size() == 1 ? "1 part" : fmt::format("{} parts", e.parts.size()),
      e.parts.size() == 1 ? "s" : "", most->part, f.force, f.force_low, f.force_high, f.pins_push,
      f.gates_carry);
}

/// What takes most of the running cost of a shot.
std::string driven_by(const CostResult& c) {
  const double plastic = c.material + c.colour + c.drying - c.regrind_credit;
  const double shot = plastic + c.machine + c.labour;
  if (!(shot > 0.0)) return "";
  const auto [name, most] =
      std::max({std::pair("plastic", plastic), std::pair("machine", c.machine),
                std::pair("labour", c.labour)},
               [](const auto& a, const auto& b) { return a.second < b.second; });
  return fmt::format("{} is {:.0f} % of it", name, most / shot / percent);
}

std::string cost_line(const CostRates& rates, const CostResult& c) {
  std::string text = fmt::format(
      "cost           {:.2f} {} per good frame ({:.2f} to {:.2f}): material {:.2f}, machine "
      "{:.2f}, "
      "labour {:.2f}",
      c.per_frame, rates.currency, c.per_frame_low, c.per_frame_high,
      c.material + c.colour + c.drying - c.regrind_credit, c.machine, c.labour);
  if (c.total_per_frame)
    text +=
        fmt::format("; {:.2f} with the mould over {:.0f} frames", *c.total_per_frame, rates.volume);
  if (c.break_even_frames)
    text += fmt::format("; mould paid after {:.0f} frames", *c.break_even_frames);
  if (c.mould_return)
    text +=
        fmt::format("; a mould that comes back costs {:.0f} {}", *c.mould_return, rates.currency);
  return text +
         fmt::format(
             "\n               {} (about one unit of currency per shot is common practice, no "
             "source)\n",
             driven_by(c));
}

}  // namespace

std::string cycle_text(const Setup& setup, const Result& r) {
  if (!r.cycle) return "";
  const CycleResult& c = *r.cycle;
  std::string text = cooling_lines(c) + mould_line(c.mould);
  text += fmt::format(
      "cycle          {:.1f} s ({:.1f} to {:.1f}): close {:.1f}, inject {:.1f}, hold {:.1f}, cool "
      "{:.1f}, open {:.1f}, eject {:.1f}; {};\n"
      "               cooling takes {:.0f} % of it, with holding {:.0f} % (about half a minute and "
      "50 "
      "to 80 % are common practice, no source)\n",
      c.total.value, c.total.low, c.total.high, c.close, c.inject, c.hold, c.cool.value, c.open,
      c.eject, decided_by(c.limit), c.cool.value / c.total.value / percent,
      (c.hold + c.cool.value) / c.total.value / percent);
  text += fmt::format(
      "barrel         the shot takes {:.0f} % of the stroke, the screw recovers in {:.1f} s, melt "
      "stays {:.1f} min\n",
      c.barrel.stroke_share / percent, c.barrel.recovery, c.barrel.residence / minute);
  text += heat_line(c.energy) + ejection_line(r.ejection);
  if (r.cost && setup.cost) text += cost_line(*setup.cost, *r.cost);
  return text;
}

}  // namespace firstshot
