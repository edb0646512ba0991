#include "io/window_record.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/csv_field.hpp"
#include "io/summary_number.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

Json number_or_null(double value) {
  return std::isfinite(value) ? Json(summary_number(value)) : Json();
}

Json axis_block(const WindowAxis& axis) {
  return {{"key", axis.key()},
          {"unit", axis.unit()},
          {"from", number_or_null(axis.number(axis.range().from))},
          {"to", number_or_null(axis.number(axis.range().to))},
          {"spacing", axis.range().spacing == AxisSpacing::ratio ? "ratio" : "even"}};
}

Json numbers_of(const WindowRecord& record, const std::array<std::string, 2>& values) {
  return {number_or_null(record.axes[0].number(values[0])),
          number_or_null(record.axes[1].number(values[1]))};
}

Json run_block(const WindowRecord& record, const WindowRun& run) {
  Json out;
  out["folder"] = run.folder;
  out["at"] = numbers_of(record, run.values);
  out["class"] = shot_class_name(run.judged.shot.kind);
  out["peak_pressure_MPa"] = number_or_null(run.judged.shot.pressure);
  out["peak_clamp_kN"] = number_or_null(run.judged.shot.clamp);
  out["filled_fraction"] = run.reason.empty() ? number_or_null(run.judged.filled) : Json();
  out["reason"] = run.reason;
  return out;
}

/// A place of the map in the units of the axes.
Json place(const WindowRecord& record, const Point& at) {
  const auto number = [&](std::size_t axis, double share) {
    const WindowAxis& a = record.axes[axis];
    return number_or_null(a.number(a.value(share)));
  };
  return {number(0, at.x), number(1, at.y)};
}

Json side_block(const WindowRecord& record, const WindowSide& side) {
  const WindowAxis& axis = record.axes[side.axis];
  return {{"key", axis.key()},
          {"direction", side.upwards ? "up" : "down"},
          {"unit", axis.unit()},
          {"edge", number_or_null(side.edge)},
          {"last_good_run", number_or_null(side.sure)},
          {"distance", number_or_null(side.distance)},
          {"share_of_range", number_or_null(side.share)},
          {"beyond", side.beyond ? Json(shot_class_name(*side.beyond)) : Json()}};
}

Json best_block(const WindowRecord& record) {
  if (!record.best) return nullptr;
  const WindowBest& best = *record.best;
  Json out;
  out["at"] = numbers_of(record, best.run.values);
  out["values"] = Json::array({best.run.values[0], best.run.values[1]});
  out["folder"] = best.run.folder;
  out["clearance_share_of_range"] = number_or_null(best.clearance);
  out["other_stop"] = best.run.judged.stop;
  out["sides"] = Json::array();
  for (const WindowSide& side : best.sides) out["sides"].push_back(side_block(record, side));
  return out;
}

Json shots_block(const WindowRecord& record) {
  if (!record.shots) return nullptr;
  const WindowShots& s = *record.shots;
  Json out;
  out["design"] = "Latin hypercube";
  out["shots"] = s.shots;
  out["seed"] = s.seed;
  out["varied"] = Json::array();
  for (const VariedKey& v : s.varied)
    out["varied"].push_back({{"key", v.range.key}, {"spread", v.spread()}});
  out["good"] = s.good();
  out["share"] = number_or_null(s.share());
  out["interval"] = "Clopper-Pearson";
  out["confidence"] = shots_confidence;
  out["share_low"] = number_or_null(s.interval.low);
  out["share_high"] = number_or_null(s.interval.high);
  for (std::size_t k = 0; k < shot_classes.size(); ++k)
    out["counts"][shot_class_name(shot_classes[k])] = s.counts[k];
  out["bad_shots_differ_in"] = s.differ;
  return out;
}

}  // namespace

std::size_t WindowRecord::count(ShotClass kind) const {
  return static_cast<std::size_t>(std::count_if(
      runs.begin(), runs.end(), [&](const WindowRun& r) { return r.judged.shot.kind == kind; }));
}

std::string window_json(const WindowRecord& record) {
  Json out;
  out["schema_version"] = window_schema_version;
  out["title"] = record.title;
  out["accuracy"] = record.accuracy;
  out["axes"] = Json::array({axis_block(record.axes[0]), axis_block(record.axes[1])});
  out["share_of_range_good"] = number_or_null(record.map.share);
  out["best"] = best_block(record);
  out["robustness"] = shots_block(record);
  out["edges"] = Json::array();
  for (const WindowEdge& e : record.edges.edges)
    out["edges"].push_back({{"at", place(record, e.at())},
                            {"good", place(record, e.good.at)},
                            {"bad", place(record, e.bad.at)},
                            {"beyond", shot_class_name(e.bad.kind)}});
  for (const ShotClass kind : shot_classes)
    out["counts"][shot_class_name(kind)] = record.count(kind);
  out["runs"] = Json::array();
  for (const WindowRun& run : record.runs) out["runs"].push_back(run_block(record, run));
  constexpr int indent = 2;
  return out.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string window_csv(const WindowRecord& record) {
  std::string text = "folder";
  for (const WindowAxis& axis : record.axes)
    text += fmt::format(
        ",{}", csv_field(axis.unit().empty() ? axis.key()
                                             : fmt::format("{} [{}]", axis.key(), axis.unit())));
  text += ",class,peak_pressure_MPa,peak_clamp_kN,filled_fraction,reason\r\n";
  const auto cell = [](double value) {
    return std::isfinite(value) ? fmt::format(",{}", value) : std::string(",");
  };
  for (const WindowRun& run : record.runs) {
    const WindowShot& shot = run.judged.shot;
    text += csv_field(run.folder);
    for (std::size_t k = 0; k < 2; ++k)
      text += fmt::format(",{}", summary_number(record.axes[k].number(run.values[k])));
    text += fmt::format(",{}", shot_class_name(shot.kind)) + cell(shot.pressure) + cell(shot.clamp);
    text += cell(run.reason.empty() ? run.judged.filled : unknown_load);
    text += fmt::format(",{}\r\n", csv_field(run.reason));
  }
  return text;
}

std::string short_number(double value) { return fmt::format("{:.4g}", value); }

std::string short_quantity(double value, const std::string& unit) {
  return unit.empty() ? short_number(value) : fmt::format("{} {}", short_number(value), unit);
}

std::string axis_words(const std::string& key) {
  const std::size_t dot = key.rfind('.');
  std::string words = dot == std::string::npos ? key : key.substr(dot + 1);
  // Below a table, the last word alone may say too little: "gate[g-deck].width".
  if (key.find('[') != std::string::npos) words = key;
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

}  // namespace firstshot
