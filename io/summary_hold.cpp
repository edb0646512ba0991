#include "io/summary_hold.hpp"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "io/summary_number.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

constexpr double mm = 1e-3, um = 1e-6, gram = 1e-3, megapascal = 1e6;
constexpr std::size_t most_weighed = 40;

Json number(double value) { return summary_number(value); }

/// Every n-th point and the last.
Json weighing_block(const HoldResult& h) {
  Json list = Json::array();
  const std::size_t n = h.weighing.size();
  const std::size_t every = std::max<std::size_t>(1, (n + most_weighed - 1) / most_weighed);
  for (std::size_t k = 0; k < n; ++k) {
    if (k % every != 0 && k + 1 != n) continue;
    const WeighedShot& w = h.weighing[k];
    list.push_back({{"holding_s", number(w.holding_time)},
                    {"released_g", number(w.released_mass / gram)},
                    {"in_parts_g", number(w.part_mass / gram)}});
  }
  return list;
}

}  // namespace

std::string hold_block(const Result& result) {
  const HoldResult& h = result.hold;
  Json out;
  out["held"] = h.held;
  out["note"] = h.note.empty() ? Json() : Json(h.note);
  out["start_s"] = time_or_null<Json>(h.start);
  out["release_s"] = time_or_null<Json>(h.release);
  out["end_s"] = time_or_null<Json>(h.end);
  out["holding_s"] = h.held ? number(h.holding_time) : Json();
  out["gate_freeze_s"] = time_or_null<Json>(h.gate_freeze);
  out["enough_s"] = time_or_null<Json>(h.enough);
  out["start_weight_g"] = h.held ? number(h.start_mass / gram) : Json();
  out["shot_weight_g"] = h.held ? number(h.shot_mass / gram) : Json();
  out["parts_weight_g"] = h.held ? number(h.part_mass / gram) : Json();
  out["mass_error"] = h.held ? number(h.mass_error) : Json();
  out["weighing"] = weighing_block(h);
  return out.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string shrinkage_block(const Result& result) {
  const HoldResult& h = result.hold;
  const auto value = [&](double x) { return h.held ? number(x) : Json(); };
  Json out;
  out["volume_mean"] = value(h.volume_mean);
  out["volume_min"] = value(h.volume_min);
  out["volume_max"] = value(h.volume_max);
  out["linear_mean"] = value(h.linear_mean);
  out["linear_min"] = value(h.linear_min);
  out["linear_max"] = value(h.linear_max);
  out["scale"] = value(h.scale);
  out["parts"] = Json::array();
  for (const PartShrinkage& p : h.parts)
    out["parts"].push_back({{"name", p.part},
                            {"volume", number(p.volume)},
                            {"linear", number(p.linear)},
                            {"frozen_pressure_MPa", number(p.frozen_pressure / megapascal)},
                            {"freeze_s", time_or_null<Json>(p.freeze)},
                            {"zero_pressure_s", time_or_null<Json>(p.zero_pressure)}});
  out["sink_ranking"] = Json::array();
  for (const SinkPlace& s : h.sinks)
    out["sink_ranking"].push_back({{"part", s.part},
                                   {"x_mm", number(s.at.x / mm)},
                                   {"y_mm", number(s.at.y / mm)},
                                   {"thickness_mm", number(s.thickness / mm)},
                                   {"lacking_um", number(s.depth / um)}});
  return out.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace firstshot
