#include "solver/assess/frame_notes.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "solver/assess/draft.hpp"
#include "solver/assess/flash.hpp"

namespace firstshot {
namespace {

constexpr const char* practice = "common practice, no source";
constexpr const char* limits_source = "[limits] in the case; default: common practice, no source";
constexpr double balance_limit =
    0.05;  ///< difference of two sides / whole shot [-], common practice
constexpr double stroke_share_low = 0.2;    ///< of the screw's stroke [-], ISO 294-1 (from memory)
constexpr double stroke_share_high = 0.8;   ///< same
constexpr double runner_share_limit = 0.4;  ///< [-], common practice
constexpr double gate_step_limit = 0.8;     ///< gate depth / wall behind it [-], common practice
constexpr double mm = 1e-3, cm3 = 1e-6, percent = 0.01, gram = 1e-3;

template <class... Values>
std::string sentence(const char* form, Values... values) {
  char text[400];
  std::snprintf(text, sizeof text, form, values...);
  return text;
}

void note_balance(const FrameFigures& f, std::vector<FrameNote>& notes) {
  const auto compare = [&](const char* rule, const char* a, double ma, const char* b, double mb) {
    const double difference = std::abs(ma - mb) / f.mass;
    if (difference <= balance_limit) return;
    notes.push_back(
        {rule,
         sentence("the frame weighs %.2f g %s the injection point and %.2f g %s it, a "
                  "difference of "
                  "%.0f %% of the shot; up to %.0f %% is usual",
                  ma / gram, a, mb / gram, b, difference / percent, balance_limit / percent),
         practice});
  };
  compare("weight_left_right", "left of", f.mass_left, "right of", f.mass_right);
  compare("weight_top_bottom", "above", f.mass_top, "below", f.mass_bottom);
}

void note_press(const Setup& setup, const FrameFigures& f, std::vector<FrameNote>& notes) {
  const double screw =
      std::numbers::pi / 4 * setup.press.screw_diameter * setup.press.screw_diameter;
  const double capacity = screw * setup.press.stroke_max;
  const double share = f.volume / capacity;
  if (share < stroke_share_low || share > stroke_share_high)
    notes.push_back({"shot_share_of_stroke",
                     sentence("the shot of %.1f cm3 takes %.0f %% of the %.1f cm3 that the screw "
                              "can displace; %.0f to "
                              "%.0f %% is usual",
                              f.volume / cm3, share / percent, capacity / cm3,
                              stroke_share_low / percent, stroke_share_high / percent),
                     "ISO 294-1, from memory, unconfirmed"});
  const double fastest = screw * setup.press.speed_max;
  double wanted = 0.0;
  for (const SpeedStep& s : setup.process.speed) wanted = std::max(wanted, s.flow_rate);
  if (setup.process.constant_pressure <= 0.0 && wanted > fastest)
    notes.push_back({"screw_speed",
                     sentence("the case asks for %.1f cm3/s, the screw gives at most %.1f cm3/s",
                              wanted / cm3, fastest / cm3),
                     "press card"});
}

void note_runners(const FrameFigures& f, std::vector<FrameNote>& notes) {
  if (f.runner_share > runner_share_limit)
    notes.push_back(
        {"runner_share",
         sentence("runners, gates and sprue are %.0f %% of the shot; up to %.0f %% is usual",
                  f.runner_share / percent, runner_share_limit / percent),
         practice});
  for (const ChannelFigures& c : f.channels) {
    if (c.role != Role::gate || c.feeds.empty()) continue;
    const auto part = std::find_if(f.parts.begin(), f.parts.end(),
                                   [&](const PartFigures& p) { return p.name == c.feeds; });
    if (part == f.parts.end() || depth(c.end) <= gate_step_limit * part->thickness_max) continue;
    notes.push_back({"gate_depth",
                     sentence("gate %s is %.2f mm deep on a part of at most %.2f mm: it will break "
                              "off badly; up to %.0f %% of the "
                              "wall is usual",
                              c.name.c_str(), depth(c.end) / mm, part->thickness_max / mm,
                              gate_step_limit / percent),
                     practice});
  }
}

void note_temperatures(const Setup& setup, std::vector<FrameNote>& notes) {
  constexpr double zero_celsius = 273.15;
  const Material& m = setup.material;
  const auto outside = [&](const char* rule, const char* what, double T, double low, double high) {
    if (T >= low && T <= high) return;
    notes.push_back(
        {rule,
         sentence(
             "%s of %.0f degC lies outside the %.0f to %.0f degC for which the material card holds",
             what, T - zero_celsius, low - zero_celsius, high - zero_celsius),
         "material card"});
  };
  outside("melt_temperature", "the melt temperature", setup.process.melt_temperature,
          m.melt_temperature_min, m.melt_temperature_max);
  outside("mould_temperature", "the mould temperature (half with the sprue)",
          setup.process.mould_temperature_fixed, m.mould_temperature_min, m.mould_temperature_max);
  outside("mould_temperature", "the mould temperature (other half)",
          setup.process.mould_temperature_moving, m.mould_temperature_min, m.mould_temperature_max);
}

}  // namespace

std::vector<FrameNote> frame_notes(const Setup& setup, const FrameFigures& figures) {
  std::vector<FrameNote> notes;
  note_balance(figures, notes);
  note_press(setup, figures, notes);
  note_runners(figures, notes);
  note_temperatures(setup, notes);
  if (const auto steep = small_draft(setup))
    notes.push_back({"draft", draft_sentence(*steep, setup.limits.draft), limits_source});
  for (const FlashGap& gap : flash_gaps(setup))
    notes.push_back({"flash", flash_sentence(gap, setup.material), flash_source});
  return notes;
}

}  // namespace firstshot
