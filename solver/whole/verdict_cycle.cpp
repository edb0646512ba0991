#include "solver/whole/verdict_cycle.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "solver/assess/draft.hpp"
#include "solver/whole/make_finding.hpp"

namespace firstshot {
namespace {

constexpr double percent = 0.01, zero_celsius = 273.15;
constexpr const char* of_case = "[limits] in the case; default: common practice, no source";
constexpr const char* common_practice = "common practice, no source";
constexpr const char* of_stroke =
    "ISO 294-1 for test specimens, 20 to 80 % of the stroke (from memory, unconfirmed)";

void rule_stroke(const BarrelFigures& b, std::vector<Finding>& out) {
  constexpr double least = 0.2, most = 0.8;
  const double share = b.stroke_share;
  if (share > 1.0) {
    out.push_back(
        make_finding("press_too_small", Severity::stop, {"1", share, 1.0},
                     sentence("the shot takes %.0f %% of the longest stroke: this press cannot "
                              "melt it in one go",
                              share / percent),
                     "the press"));
  } else if (share > most) {
    out.push_back(
        make_finding("stroke_long", Severity::look, {"1", share, most},
                     sentence("the shot takes %.0f %% of the longest stroke; above 80 %% melt "
                              "is seldom even",
                              share / percent),
                     of_stroke));
  } else if (share < least) {
    Finding f =
        make_finding("stroke_short", Severity::look, {"1", share, least},
                     sentence("the shot takes only %.0f %% of the longest stroke; below 20 %% "
                              "its weight varies and melt stays hot for long",
                              share / percent),
                     of_stroke);
    f.margin = (share - least) / least;
    out.push_back(f);
  }
}

void rule_residence(const Setup& setup, const BarrelFigures& b, std::vector<Finding>& out) {
  const double limit = setup.limits.residence_time;
  if (b.residence <= limit) return;
  out.push_back(make_finding("residence_time", Severity::look, {"s", b.residence, limit},
                             sentence("melt stays %.0f s in the barrel, more than %.0f s: it may "
                                      "degrade; a smaller barrel or a shorter cycle helps",
                                      b.residence, limit),
                             of_case));
}

void rule_regrind(const Setup& setup, std::vector<Finding>& out) {
  const double share = setup.blend.regrind, limit = setup.limits.regrind;
  if (share > limit)
    out.push_back(
        make_finding("regrind_share", Severity::look, {"1", share, limit},
                     sentence("the blend holds %.0f %% of regrind; up to %.0f %% is usual",
                              share / percent, limit / percent),
                     of_case));
  const double foreign = blend_figures(setup.blend).foreign_colour;
  if (foreign > 0.0)
    out.push_back(
        make_finding("foreign_colour", Severity::look, {"1", foreign, 0.0},
                     sentence("%.0f %% of the pigment comes from regrind of another colour: "
                              "the shade will be off",
                              foreign / percent),
                     common_practice));
}

/// Time since the start of injection at which the mould opens [s].
double opening(const CycleResult& c) { return c.inject + c.hold + c.cool.value; }

void rule_early(const CycleResult& c, std::vector<Finding>& out) {
  const auto look_at = [&](const std::vector<CooledPiece>& pieces, const char* rule,
                           Severity severity, const char* what) {
    const CooledPiece* worst = nullptr;
    int count = 0;
    for (const CooledPiece& p : pieces) {
      if (p.ejectable <= opening(c)) continue;
      ++count;
      if (worst == nullptr || p.ejectable > worst->ejectable) worst = &p;
    }
    if (worst == nullptr) return;
    Finding f = make_finding(rule, severity, {"s", opening(c), worst->ejectable},
                             sentence("the mould opens %.1f s after the start of injection, but %d "
                                      "%s%s too hot then; %s needs %.1f s",
                                      opening(c), count, what, count == 1 ? " is" : "s are",
                                      worst->name.c_str(), worst->ejectable),
                             "process.ejection_temperature in the case or the material card");
    f.margin = (opening(c) - worst->ejectable) / worst->ejectable;
    f.at = worst->at;
    if (worst->role == Role::part) f.part = worst->name;
    out.push_back(f);
  };
  if (c.limit != CycleLimit::set) return;
  look_at(c.parts, "early_ejection", Severity::stop, "part");
  look_at(c.channels, "early_ejection_runner", Severity::look, "channel");
}

void rule_pace(const CycleResult& c, std::vector<Finding>& out) {
  const double needed = std::max(c.parts_ejectable.value, c.runners_ejectable.value);
  const double release = c.inject + c.hold;
  if (release > needed && needed > 0.0)
    out.push_back(make_finding("holding_too_long", Severity::look, {"s", release, needed},
                               sentence("holding ends %.1f s after the start of injection, but "
                                        "everything could be ejected at %.1f s",
                                        release, needed),
                               "holding beyond ejection gains nothing"));
  if (c.limit == CycleLimit::screw)
    out.push_back(
        make_finding("screw_decides", Severity::note, {"s", c.barrel.recovery, c.cool.value},
                     sentence("the screw needs %.1f s for the next shot, longer than cooling "
                              "takes: it decides the cycle",
                              c.barrel.recovery),
                     "press.plasticising_rate"));
  if (c.runner_cost > 0.0)
    out.push_back(make_finding(
        "runners_decide", Severity::note, {"s", c.runners_ejectable.value, c.parts_ejectable.value},
        sentence("runners and sprue need %.1f s more than the parts; all of them a tenth "
                 "thinner would save %.1f s of the cycle, at a higher pressure",
                 c.runner_cost, c.thinner_runner_saves),
        "cooling time grows with the square of the size"));
}

/// One piece that is much later than all others.
void rule_one_decides(const Setup& setup, const CycleResult& c, std::vector<Finding>& out) {
  constexpr double told = 0.5, much = 0.1, mm = 1e-3;  // [s]; of the cycle, own judgement [-]; [m]
  if (!c.deciding || c.deciding->enough_saves < told) return;
  const DecidingPiece& d = *c.deciding;
  const double share = d.enough_saves / c.total.value;
  std::string text = sentence(
      "%s alone keeps the mould shut until %.1f s after the start of injection, %s would let it "
      "open at %.1f s: as thin as cools like %.1f instead of %.1f mm it would save %.1f s, %.0f %% "
      "of the cycle",
      d.piece.name.c_str(), d.piece.ejectable, d.next.c_str(), d.piece.ejectable - d.enough_saves,
      d.enough * d.piece.gap / mm, d.piece.gap / mm, d.enough_saves, share / percent);
  if (setup.cost && cost_of_time(*setup.cost, d.enough_saves) > 0.0)
    text += sentence(" and %.2f %s per frame", cost_of_time(*setup.cost, d.enough_saves),
                     setup.cost->currency.c_str());
  Finding f = make_finding("one_piece_decides", share > much ? Severity::look : Severity::note,
                           {"s", d.piece.ejectable, d.piece.ejectable - d.enough_saves},
                           std::move(text), "cooling time grows with the square of the size");
  f.at = d.piece.at;
  if (d.piece.role == Role::part) f.part = d.piece.name;
  out.push_back(f);
}

void rule_half(const char* name, const HalfHeat& half, double used, std::vector<Finding>& out) {
  constexpr double most_rise = 5.0, turbulent = 4000.0, close = 2.0;  // [K], [-], [K]
  if (half.water_rise > most_rise)
    out.push_back(
        make_finding("water_rise", Severity::look, {"K", half.water_rise, most_rise},
                     sentence("the water in the %s half warms by %.1f K; more than 5 K cools "
                              "unevenly",
                              name, half.water_rise),
                     common_practice));
  if (half.bore.reynolds < turbulent)
    out.push_back(
        make_finding("water_laminar", Severity::look, {"1", half.bore.reynolds, turbulent},
                     sentence("the water in the %s half runs at a Reynolds number of %.0f; "
                              "below 4000 it takes little heat",
                              name, half.bore.reynolds),
                     "turbulent flow in pipes; see Gnielinski 1976"));
  if (std::abs(half.surface - used) > close)
    out.push_back(
        make_finding("mould_temperature_off", Severity::note,
                     {"degC", half.surface - zero_celsius, used - zero_celsius},
                     sentence("the heat of this run brings the face of the %s half to %.1f "
                              "degC; it was reckoned with %.1f degC",
                              name, half.surface - zero_celsius, used - zero_celsius),
                     "balance of the mould"));
}

void rule_pins(const Result& r, std::vector<Finding>& out) {
  for (const PinPlace& pin : r.ejection.pins) {
    if (!pin.on_visible) continue;
    Finding f;
    f.rule = "ejector_mark";
    f.severity = Severity::look;
    f.text =
        sentence("%s pushes on the visible face of %s: it leaves a mark",
                 pin.name.empty() ? "an ejector pin" : pin.name.c_str(), pin.stands_on.c_str());
    f.source = common_practice;
    f.part = pin.stands_on;
    f.at = pin.at;
    out.push_back(f);
  }
  if (r.ejection.pins.empty()) return;
  constexpr double far = 15e-3, mm = 1e-3, mm2 = 1e-6, least_grip = 10e-6;  // [m], …, [m²]
  int count = 0;
  const PartGrip* worst = nullptr;  // most grip of those that no pin is near to
  for (const PartGrip& g : r.ejection.parts) {
    if (g.grip < least_grip || g.nearest_pin <= far) continue;
    ++count;
    if (worst == nullptr) worst = &g;
  }
  if (worst == nullptr) return;
  Finding f =
      make_finding("ejector_far", Severity::look, {"mm", worst->nearest_pin / mm, far / mm},
                   sentence("%d part%s with openings %s no ejector pin within 15 mm; %s holds on "
                            "to its core with %.0f mm2 of walls, the nearest pin is %.0f mm away",
                            count, count == 1 ? "" : "s", count == 1 ? "has" : "have",
                            worst->part.c_str(), worst->grip / mm2, worst->nearest_pin / mm),
                   "own judgement, no source");
  f.part = worst->part;
  f.at = worst->at;
  out.push_back(f);
}

void rule_draft(const Setup& setup, std::vector<Finding>& out) {
  const auto steep = small_draft(setup);
  if (!steep) return;
  const double limit = setup.limits.draft;
  Finding f = make_finding("draft", Severity::look, {"deg", steep->steepest.least_draft, limit},
                           draft_sentence(*steep, limit), of_case);
  f.margin = (steep->steepest.least_draft - limit) / limit;
  f.part = steep->steepest.part;
  f.at = Point{steep->steepest.at.x, steep->steepest.at.y};
  out.push_back(f);
}

/// Parts that hold on with more than pins and gates can pull; without any pin in the case a note.
void rule_push(const Result& r, std::vector<Finding>& out) {
  const PartGrip* worst = nullptr;
  double worst_lack = 0.0;
  int count = 0;
  for (const PartGrip& g : r.ejection.parts) {
    if (!g.release) continue;
    const double lack = g.release->force - g.release->pins_push - g.release->gates_carry;
    if (!(lack > 0.0)) continue;
    ++count;
    if (lack <= worst_lack) continue;
    worst = &g;
    worst_lack = lack;
  }
  if (worst == nullptr) return;
  const ReleaseForce& f = *worst->release;
  const bool none = r.ejection.pins.empty();
  std::string text = sentence(
      "%d part%s on to steel with more than %s; %s most, with about %.0f N (%.0f to %.0f)", count,
      count == 1 ? " holds" : "s hold",
      none ? "gates carry, and the case names no ejector pins" : "pins push and gates carry",
      worst->part.c_str(), f.force, f.force_low, f.force_high);
  text += none ? ": " : sentence(": the pins on it push %.0f N before they dent it, ", f.pins_push);
  text += sentence("its gates carry %.0f N before they break", f.gates_carry);
  Finding finding = make_finding(
      "ejector_push", none ? Severity::note : Severity::look,
      {"N", f.force, f.pins_push + f.gates_carry}, std::move(text),
      "shrinkage on cores times friction; stiffness, friction and strength at ejection from "
      "memory, unconfirmed");
  finding.part = worst->part;
  finding.at = worst->at;
  out.push_back(finding);
}

void rule_warp(const Result& r, std::vector<Finding>& out) {
  constexpr double told = 5e-4;  // difference of shrinkage that is worth a word, own judgement [-]
  if (r.warp.empty() || r.warp.front().strain < told) return;
  const WarpDriver& w = r.warp.front();
  const char* cause = w.cause == WarpCause::uneven_shrinkage ? "uneven shrinkage"
                      : w.cause == WarpCause::uneven_cooling ? "uneven cooling"
                                                             : "one-sided cooling";
  Finding f =
      make_finding("warp_driver", Severity::note, {"1", w.strain, told},
                   sentence("warp is not modelled; what drives it most is %s in %s, %.2f %% of "
                            "linear shrinkage",
                            cause, w.part.c_str(), w.strain / percent),
                   "own judgement, no source");
  f.part = w.part;
  out.push_back(f);
}

}  // namespace

std::vector<Finding> cycle_findings(const Setup& setup, const Result& result) {
  std::vector<Finding> out;
  rule_regrind(setup, out);
  rule_pins(result, out);
  rule_draft(setup, out);
  rule_push(result, out);
  rule_warp(result, out);
  if (!result.cycle) return out;
  const CycleResult& c = *result.cycle;
  rule_stroke(c.barrel, out);
  rule_residence(setup, c.barrel, out);
  rule_early(c, out);
  rule_pace(c, out);
  rule_one_decides(setup, c, out);
  if (!c.mould.follows) return out;
  rule_half("fixed", c.mould.fixed, c.mould.surface_fixed, out);
  rule_half("moving", c.mould.moving, c.mould.surface_moving, out);
  return out;
}

}  // namespace firstshot
