#include "io/report_html.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/calibrated_report.hpp"
#include "io/case_error.hpp"
#include "io/colour_scales.hpp"
#include "io/outcome_names.hpp"
#include "io/report_source.hpp"
#include "io/report_template.hpp"
#include "io/toml_reader.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

constexpr double to_mm = 1e3;
constexpr int data_version = 1;  // of what the page's script expects

/// Six significant digits; null for NaN.
Json number(double value) {
  if (!std::isfinite(value)) return {};
  char text[40];
  std::snprintf(text, sizeof text, "%.6g", value);
  return std::strtod(text, nullptr);
}

Json block_json(const ReportBlock& block, const std::string& id) {
  Json out;
  out["id"] = id;
  out["kind"] = block.kind == ReportBlock::Kind::index ? "index" : "rounded";
  out["count"] = block.count;
  if (block.kind == ReportBlock::Kind::rounded) {
    out["low"] = block.low;
    out["high"] = block.high;
  }
  return out;
}

Json field_json(const ReportField& field) {
  Json out;
  out["key"] = field.shown.key;
  out["label"] = field.shown.label;
  out["unit"] = field.shown.unit;
  out["colours"] = field.shown.colours;
  out["logarithmic"] = field.shown.logarithmic;
  out["hidden"] = field.shown.hidden;
  out["per"] = field.per_triangle ? "triangle" : "node";
  out["low"] = number(field.low);
  out["high"] = number(field.high);
  out["blocks"] = field.blocks;
  return out;
}

Json steps_json(const std::vector<StepRecord>& steps) {
  Json out = Json::array();
  for (const StepRecord& s : steps)
    out.push_back({{"time", number(s.time)}, {"filled", number(s.filled_fraction)}});
  return out;
}

Json history_json(const std::vector<HistoryEntry>& history) {
  Json out;
  for (const char* key : {"time_s", "filled", "flow_cm3_s", "pressure_MPa", "force_kN"})
    out[key] = Json::array();
  for (const HistoryEntry& e : history) {
    out["time_s"].push_back(number(e.time));
    out["filled"].push_back(number(e.filled_fraction));
    out["flow_cm3_s"].push_back(number(e.flow_rate * 1e6));
    out["pressure_MPa"].push_back(number(e.injection_pressure * 1e-6));
    out["force_kN"].push_back(number(e.opening_force * 1e-3));
  }
  return out;
}

Json weld_lines_json(const std::vector<WeldLine>& lines) {
  Json out = Json::array();
  for (const WeldLine& line : lines) {
    Json points = Json::array(), angles = Json::array();
    for (const MeetingPoint& m : line.points) {
      points.push_back({number(m.at.x * to_mm), number(m.at.y * to_mm)});
      angles.push_back(number(m.angle_deg));
    }
    const char* kind = line.kind == MeetingKind::meld ? "meld" : "weld";
    out.push_back(
        {{"kind", kind}, {"time", number(line.time)}, {"points", points}, {"angle", angles}});
  }
  return out;
}

Json toml_json(const TomlNode& node) {
  switch (node.kind) {
    case NodeKind::table: {
      Json out = Json::object();
      for (const TomlEntry& entry : node.entries) out[entry.key] = toml_json(entry.value);
      return out;
    }
    case NodeKind::array: {
      Json out = Json::array();
      for (const TomlNode& item : node.items) out.push_back(toml_json(item));
      return out;
    }
    case NodeKind::integer:
    case NodeKind::number:
      return number(node.number);
    case NodeKind::boolean:
      return node.flag;
    case NodeKind::string:
    case NodeKind::date:
      break;
  }
  return node.text;
}

/// A case or a card as JSON, without its drawing; null when the text is none.
Json settings_json(const std::string& text) {
  if (text.empty()) return {};
  try {
    Json out = toml_json(TomlFile::parse(text, "the stored case").root());
    out.erase("layout");
    return out;
  } catch (const Error&) {
    return {};
  }
}

Json model_json(const ReportRun& run) {
  Json out;
  out["regions"] = Json::array();
  for (const Region& r : run.regions)
    out["regions"].push_back(
        {{"name", r.name}, {"role", role_name(r.role)}, {"visible", r.visible}});
  out["channels"] = Json::array();
  for (const Channel& c : run.channels)
    out["channels"].push_back({{"name", c.name}, {"role", role_name(c.role)}, {"feeds", c.feeds}});
  out["mesh"] = Json::object();
  for (const auto& [name, block] : run.mesh) out["mesh"][name] = block;
  return out;
}

Json run_json(const ReportRun& run, const std::string& prefix) {
  Json out;
  out["name"] = run.name;
  out["title"] = run.title;
  out["version"] = run.version;
  out["fingerprint"] = run.fingerprint;
  out["finished"] = run.finished;
  out["missing"] = run.missing;
  out["settings"] = settings_json(run.resolved_text);
  out["material"] = settings_json(run.material_text);
  out["summary"] = Json::parse(run.summary, nullptr, false);
  if (out["summary"].is_discarded()) out["summary"] = nullptr;
  out["model"] = model_json(run);
  out["steps"] = steps_json(run.steps);
  out["history"] = history_json(run.history);
  out["weld_lines"] = weld_lines_json(run.weld_lines);
  out["fields"] = Json::array();
  for (const ReportField& field : run.fields) out["fields"].push_back(field_json(field));
  out["blocks"] = Json::array();
  for (std::size_t i = 0; i < run.blocks.size(); ++i)
    out["blocks"].push_back(block_json(run.blocks[i], prefix + std::to_string(i)));
  return out;
}

Json scales_json() {
  Json out = Json::object();
  for (const ColourScale& scale : colour_scales()) out[std::string(scale.name)] = scale.stops;
  return out;
}

/// JSON that may stand inside an element of HTML: no "<" is left, so nothing can close it.
std::string harmless(const Json& json) {
  const std::string text = json.dump(-1, ' ', false, Json::error_handler_t::replace);
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    if (c == '<')
      out += "\\u003c";
    else
      out += c;
  }
  return out;
}

std::string page_of(std::span<const std::filesystem::path> places, const std::string& version,
                    const std::string& calibration) {
  if (places.empty()) throw Error("a report needs at least one results folder");
  Json data;
  data["data_version"] = data_version;
  data["written_by"] = version;
  data["colours"] = scales_json();
  if (!calibration.empty()) data["calibration"] = Json::parse(calibration);
  data["runs"] = Json::array();
  std::string blocks;
  for (std::size_t r = 0; r < places.size(); ++r) {
    const ReportRun run = read_report_run(places[r]);
    const std::string prefix = fmt::format("b{}-", r);
    data["runs"].push_back(run_json(run, prefix));
    for (std::size_t i = 0; i < run.blocks.size(); ++i)
      blocks += fmt::format("<script type=\"text/plain\" id=\"{}{}\">{}</script>\n", prefix, i,
                            run.blocks[i].text);
  }
  std::string page = report_template();
  const std::string mark = "<!--firstshot:data-->";
  const std::size_t at = page.find(mark);
  if (at == std::string::npos)
    throw Error("the page that this program holds has no place for data");
  page.replace(at, mark.size(),
               fmt::format("<script type=\"application/json\" id=\"data\">{}</script>\n{}",
                           harmless(data), blocks));
  return page;
}

}  // namespace

std::string report_html(std::span<const std::filesystem::path> places, const std::string& version) {
  return page_of(places, version, {});
}

std::string calibrated_report(const std::filesystem::path& run, const std::string& version,
                              const std::string& calibration) {
  return page_of(std::vector{run}, version, calibration);
}

}  // namespace firstshot
