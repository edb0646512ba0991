#include "io/sweep_plan.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "solver/numeric/latin_hypercube.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\"");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t\"") - first + 1));
}

[[noreturn]] void refuse(const std::string& key, const std::string& what) {
  throw Error(fmt::format("axis {}: {}", key, what));
}

void check_axis(const SweepAxis& axis) {
  for (const std::string& value : axis.values) check_override({axis.key, value});
  if (!axis.values.empty()) return;
  const KeySpec& spec = override_spec(axis.key);
  if (spec.kind != ValueKind::quantity && spec.kind != ValueKind::number &&
      spec.kind != ValueKind::integer)
    refuse(axis.key, "only quantities and numbers have a range; list the values instead");
  check_override({axis.key, axis.from});
  check_override({axis.key, axis.to});
  const double low = override_number({axis.key, axis.from});
  const double high = override_number({axis.key, axis.to});
  if (!(high > low)) refuse(axis.key, "the end of the range must lie above its start");
  if (axis.spacing == AxisSpacing::ratio && !(low > 0.0))
    refuse(axis.key, "equal factors need a start above 0");
}

std::vector<std::string> grid_values(const SweepAxis& axis) {
  if (!axis.values.empty()) return axis.values;
  constexpr int fewest = 2;
  if (axis.points < fewest)
    refuse(axis.key, "a range needs the number of its points, at least 2, or a Latin hypercube");
  std::vector<std::string> values;
  values.reserve(static_cast<std::size_t>(axis.points));
  for (int i = 0; i < axis.points; ++i) values.push_back(axis_value(axis, i / (axis.points - 1.0)));
  return values;
}

using Rows = std::vector<std::vector<std::string>>;

void check_count(std::size_t runs) {
  if (runs > most_sweep_runs)
    throw Error(fmt::format("these axes make more than {} runs, the most that are allowed",
                            most_sweep_runs));
}

Rows grid_rows(const std::vector<SweepAxis>& axes) {
  Rows rows = {{}};
  for (const SweepAxis& axis : axes) {
    const std::vector<std::string> values = grid_values(axis);
    check_count(rows.size() * values.size());
    Rows longer;
    for (const auto& row : rows) {
      for (const std::string& value : values) {
        longer.push_back(row);
        longer.back().push_back(value);
      }
    }
    rows = std::move(longer);
  }
  return rows;
}

Rows list_rows(const std::vector<SweepAxis>& axes) {
  const std::size_t length = grid_values(axes.front()).size();
  check_count(length);
  Rows rows(length);
  for (const SweepAxis& axis : axes) {
    const std::vector<std::string> values = grid_values(axis);
    if (values.size() != length)
      refuse(axis.key, fmt::format("has {} values, but {} has {}; side by side all axes need the "
                                   "same number",
                                   values.size(), axes.front().key, length));
    for (std::size_t i = 0; i < length; ++i) rows[i].push_back(values[i]);
  }
  return rows;
}

Rows sample_rows(const SweepRequest& request) {
  const auto n = static_cast<std::size_t>(*request.sample);
  check_count(n);
  const auto cube = latin_hypercube(n, request.axes.size(), request.seed);
  Rows rows(n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = 0; k < request.axes.size(); ++k) {
      const SweepAxis& axis = request.axes[k];
      if (axis.values.empty()) {
        rows[i].push_back(axis_value(axis, cube[i][k]));
      } else {
        const double at = cube[i][k] * static_cast<double>(axis.values.size());
        rows[i].push_back(axis.values[static_cast<std::size_t>(at)]);
      }
    }
  }
  return rows;
}

/// Text of a value in a sweep file: "220 degC", 12, true.
std::string value_of(const TomlFile& file, const TomlNode& node, const std::string& key) {
  if (node.kind == NodeKind::string) return node.text;
  if (node.kind == NodeKind::boolean) return node.flag ? "true" : "false";
  if (node.kind == NodeKind::integer || node.kind == NodeKind::number)
    return format_number(node.number);
  throw file.error(node.place, key, "a value is a text in quotes, a number, true or false");
}

SweepAxis read_axis(const TomlFile& file, const TomlNode& node) {
  TableReader table(file, node, "axis");
  SweepAxis axis;
  axis.key = table.text("key");
  try {
    override_spec(axis.key);
  } catch (const Error& e) {
    throw table.error("key", e.what());
  }
  const auto value_if = [&](const char* name) {
    const TomlNode* found = table.node(name);
    return found == nullptr ? std::string() : value_of(file, *found, table.full_key(name));
  };
  axis.from = value_if("from");
  axis.to = value_if("to");
  constexpr double most_points = 100000.0;
  if (const TomlNode* points = table.node("points"))
    axis.points = integer_of(file, *points, "axis.points", between(2.0, most_points));
  if (const TomlNode* spacing = table.node("spacing"))
    axis.spacing = word_of(file, *spacing, "axis.spacing", {"even", "ratio"}) == "ratio"
                       ? AxisSpacing::ratio
                       : AxisSpacing::even;
  if (const TomlNode* values = table.node("values"))
    for (const TomlNode& item : items_of(file, *values, "axis.values"))
      axis.values.push_back(value_of(file, item, "axis.values"));
  table.finish();
  const bool is_range = !axis.from.empty() && !axis.to.empty();
  if (is_range == !axis.values.empty())
    throw table.error("key", "an axis needs either values, or from and to");
  try {
    check_axis(axis);
  } catch (const Error& e) {
    throw table.error(axis.values.empty() ? "from" : "values", e.what());
  }
  return axis;
}

}  // namespace

std::vector<CaseOverride> SweepPlan::changes(std::size_t run) const {
  std::vector<CaseOverride> all;
  for (std::size_t k = 0; k < keys.size(); ++k) all.push_back({keys[k], values[run][k]});
  return all;
}

bool is_sweep_file(const fs::path& file) {
  return TomlFile::read(file).root().find("case") != nullptr;
}

SweepRequest read_sweep_file(const fs::path& path) {
  const TomlFile file = TomlFile::read(path);
  TableReader root(file);
  SweepRequest request;
  request.case_file = (file.directory() / root.text("case")).lexically_normal();
  if (const TomlNode* level = root.node("accuracy"))
    request.accuracy =
        word_of(file, *level, "accuracy", {kAccuracyLevels.begin(), kAccuracyLevels.end()});
  if (const TomlNode* combine = root.node("combine"))
    request.combine = word_of(file, *combine, "combine", {"grid", "list"}) == "list"
                          ? SweepCombination::list
                          : SweepCombination::grid;
  if (const TomlNode* axes = root.node("axis"))
    for (const TomlNode& axis : items_of(file, *axes, "axis"))
      request.axes.push_back(read_axis(file, axis));
  if (auto sample = root.table_if("latin_hypercube")) {
    const auto most = static_cast<double>(most_sweep_runs);
    const TomlNode* runs = sample->node("runs");
    if (runs == nullptr) throw sample->error("runs", "this key is missing, but needed");
    request.sample = integer_of(file, *runs, "latin_hypercube.runs", between(1.0, most));
    if (const TomlNode* seed = sample->node("seed"))
      request.seed = static_cast<std::uint64_t>(
          integer_of(file, *seed, "latin_hypercube.seed", at_least(0.0)));
    sample->finish();
  }
  root.finish();
  return request;
}

SweepAxis axis_from(std::string_view text) {
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos)
    throw Error(
        fmt::format("\"{}\" is no axis; write \"KEY=FROM..TO:POINTS\" or "
                    "\"KEY=VALUE, VALUE\"",
                    text));
  SweepAxis axis;
  axis.key = trimmed(text.substr(0, equals));
  override_spec(axis.key);
  std::string_view rest = text.substr(equals + 1);
  const std::size_t dots = rest.find("..");
  if (dots == std::string_view::npos) {
    for (std::size_t at = 0; at <= rest.size();) {
      const std::size_t comma = std::min(rest.find(',', at), rest.size());
      axis.values.push_back(trimmed(rest.substr(at, comma - at)));
      at = comma + 1;
    }
    check_axis(axis);
    return axis;
  }
  axis.from = trimmed(rest.substr(0, dots));
  std::string end(rest.substr(dots + 2));
  const std::string ratio = " ratio";
  if (end.ends_with(ratio)) {
    axis.spacing = AxisSpacing::ratio;
    end.resize(end.size() - ratio.size());
  }
  const std::size_t colon = end.rfind(':');
  if (colon != std::string::npos) {
    const std::string points = trimmed(end.substr(colon + 1));
    const auto read = std::from_chars(points.data(), points.data() + points.size(), axis.points);
    constexpr int fewest = 2;
    if (read.ec != std::errc() || read.ptr != points.data() + points.size() || axis.points < fewest)
      refuse(axis.key, fmt::format("\"{}\" is no number of points; allowed: 2 and more", points));
    end.resize(colon);
  }
  axis.to = trimmed(end);
  check_axis(axis);
  return axis;
}

std::string written_value(const KeySpec& spec, double value) {
  if (spec.kind == ValueKind::integer) return fmt::format("{}", std::lround(value));
  constexpr int digits = 9;  // more would only be rounding
  value = std::stod(fmt::format("{:.{}g}", value, digits));
  return spec.kind == ValueKind::quantity ? format_quantity(value, spec.dimension)
                                          : format_number(value);
}

std::string axis_value(const SweepAxis& axis, double t) {
  const double low = override_number({axis.key, axis.from});
  const double high = override_number({axis.key, axis.to});
  if (t <= 0.0) return axis.from;
  if (t >= 1.0) return axis.to;
  return written_value(override_spec(axis.key), axis.spacing == AxisSpacing::ratio
                                                    ? low * std::pow(high / low, t)
                                                    : low + t * (high - low));
}

SweepPlan make_plan(const SweepRequest& request) {
  if (request.axes.empty())
    throw Error("a sweep needs an axis: [[axis]] in the sweep file or --axis KEY=FROM..TO:POINTS");
  std::set<std::string> keys;
  for (const SweepAxis& axis : request.axes) {
    if (!keys.insert(axis.key).second) refuse(axis.key, "there are two axes over this key");
    check_axis(axis);
  }
  SweepPlan plan;
  plan.case_file = fs::absolute(request.case_file).lexically_normal();
  plan.accuracy = request.accuracy;
  for (const SweepAxis& axis : request.axes) plan.keys.push_back(axis.key);
  plan.values = request.sample                              ? sample_rows(request)
                : request.combine == SweepCombination::list ? list_rows(request.axes)
                                                            : grid_rows(request.axes);
  return plan;
}

std::string plan_text(const SweepPlan& plan) {
  const Json json = {{"format", "firstshot sweep"},
                     {"version", 1},
                     {"case", plan.case_file.string()},
                     {"accuracy", plan.accuracy},
                     {"keep_all", plan.keep_all},
                     {"input_mark", plan.input_mark},
                     {"keys", plan.keys},
                     {"values", plan.values}};
  return json.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

SweepPlan plan_from(const std::string& text, const std::string& shown) {
  try {
    const Json json = Json::parse(text);
    SweepPlan plan;
    if (json.at("format") != "firstshot sweep" || json.at("version") != 1)
      throw Error(fmt::format("\"{}\" is no plan of a sweep that this version knows", shown));
    plan.case_file = json.at("case").get<std::string>();
    plan.accuracy = json.at("accuracy").get<std::string>();
    plan.keep_all = json.at("keep_all").get<bool>();
    plan.input_mark = json.at("input_mark").get<std::string>();
    plan.keys = json.at("keys").get<std::vector<std::string>>();
    plan.values = json.at("values").get<Rows>();
    for (const auto& row : plan.values)
      if (row.size() != plan.keys.size())
        throw Error(fmt::format("\"{}\" is damaged: a run has not one value for each key", shown));
    return plan;
  } catch (const Json::exception&) {
    throw Error(fmt::format("\"{}\" is damaged: it is no plan of a sweep", shown));
  }
}

}  // namespace firstshot
