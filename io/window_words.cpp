#include "io/window_words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double percent = 0.01;

std::string side_sentence(const WindowRecord& record, const WindowSide& side) {
  const WindowAxis& axis = record.axes[side.axis];
  const std::string& unit = axis.unit();
  const std::string edge = short_quantity(side.edge, unit);
  if (!side.beyond)
    return fmt::format("no edge {} to {}, the end of the range", side.upwards ? "up" : "down",
                       edge);
  // A difference of temperatures is in kelvin.
  const std::string apart = short_quantity(side.distance, unit == "degC" ? "K" : unit);
  return fmt::format("{} {} {} ({} away, {:.0f} % of the range; good at {})",
                     shot_class_words(*side.beyond), side.upwards ? "beyond" : "below", edge, apart,
                     side.share / percent, short_quantity(side.sure, unit));
}

/// The class that blocks most, and the run that came nearest to a good shot.
std::vector<std::string> blocked_sentences(const WindowRecord& record) {
  std::vector<std::string> out;
  ShotClass most = ShotClass::no_result;
  for (const ShotClass kind : shot_classes)
    if (record.count(kind) > record.count(most)) most = kind;
  const bool everywhere = record.count(most) == record.runs.size();
  out.push_back(fmt::format("no setting in this range gives a good shot; what is in the way {}: {}",
                            everywhere ? "everywhere" : "most often", shot_class_words(most)));
  const WindowRun* nearest = nullptr;
  for (const WindowRun& run : record.runs)
    if (run.reason.empty() && (nearest == nullptr || run.judged.filled > nearest->judged.filled))
      nearest = &run;
  if (nearest != nullptr)
    out.push_back(
        fmt::format("fullest: {}, {}: {} with {:.1f} % full, {} MPa, {} kN", nearest->values[0],
                    nearest->values[1], shot_class_words(nearest->judged.shot.kind),
                    nearest->judged.filled / percent, short_number(nearest->judged.shot.pressure),
                    short_number(nearest->judged.shot.clamp)));
  return out;
}

}  // namespace

std::string count_words(const WindowRecord& record) {
  std::string text;
  for (const ShotClass kind : shot_classes)
    if (record.count(kind) > 0)
      text += fmt::format("{}{} {}", text.empty() ? "" : ", ", record.count(kind),
                          shot_class_words(kind));
  return text;
}

std::vector<std::string> best_sentences(const WindowRecord& record) {
  if (!record.best) return blocked_sentences(record);
  const WindowBest& best = *record.best;
  std::vector<std::string> out = {
      fmt::format("best: {}, {}", best.run.values[0], best.run.values[1])};
  for (std::size_t axis = 0; axis < record.axes.size(); ++axis) {
    std::string sides;
    for (const WindowSide& side : best.sides)
      if (side.axis == axis) sides += (sides.empty() ? "" : "; ") + side_sentence(record, side);
    if (!sides.empty())
      out.push_back(fmt::format("  {}: {}", axis_words(record.axes[axis].key()), sides));
  }
  out.push_back(
      fmt::format("  nearest edge or end of the range in any direction: {:.0f} % of the "
                  "ranges away; {:.0f} % of the ranges are good",
                  best.clearance / percent, record.map.share / percent));
  if (!best.run.judged.stop.empty())
    out.push_back("  but the verdict on this run says stop: " + best.run.judged.stop);
  return out;
}

std::vector<std::string> shots_sentences(const WindowRecord& record) {
  if (!record.shots) return {};
  const WindowShots& s = *record.shots;
  std::string spreads;
  for (const VariedKey& v : s.varied)
    spreads +=
        fmt::format("{}{} {}", spreads.empty() ? "" : ", ", axis_words(v.range.key), v.spread());
  std::vector<std::string> out = {
      fmt::format("shots expected good there: {:.0f} % ({} of {} runs; {:.0f} to {:.0f} % with a "
                  "confidence of {:.0f} %), when these vary: {}",
                  s.share() / percent, s.good(), s.shots, s.interval.low / percent,
                  s.interval.high / percent, shots_confidence / percent, spreads)};
  std::string bad;
  for (const ShotClass kind : shot_classes)
    if (const std::size_t n = s.counts[static_cast<std::size_t>(kind)];
        n > 0 && kind != ShotClass::fills)
      bad += fmt::format("{}{} {}", bad.empty() ? "" : ", ", n, shot_class_words(kind));
  if (bad.empty()) return out;
  std::string differ;
  for (const std::string& what : s.differ) differ += (differ.empty() ? "" : ", ") + what;
  out.push_back(fmt::format("  the others: {}{}", bad,
                            differ.empty() ? std::string() : "; they have " + differ));
  return out;
}

}  // namespace firstshot
