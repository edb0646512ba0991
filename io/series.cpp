#include "io/series.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/atomic_file.hpp"
#include "io/csv_field.hpp"
#include "io/h5_file.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

constexpr double none = std::numeric_limits<double>::quiet_NaN();

/// Lists of summary.json whose entries have a name that stays from run to run.
constexpr std::array<const char*, 2> named_lists = {"parts", "gates"};

using Numbers = std::map<std::string, double>;

void flatten(const Json& json, const std::string& name, Numbers& numbers) {
  const std::string prefix = name.empty() ? std::string() : fmt::format("{}.", name);
  if (json.is_object()) {
    for (const auto& [key, value] : json.items()) flatten(value, prefix + key, numbers);
  } else if (json.is_array()) {
    if (std::find(named_lists.begin(), named_lists.end(), name) == named_lists.end()) {
      numbers[prefix + "count"] = static_cast<double>(json.size());
      return;
    }
    for (const Json& item : json)
      if (item.is_object() && item.contains("name") && item["name"].is_string())
        flatten(item, prefix + item["name"].get<std::string>(), numbers);
  } else if (json.is_number()) {
    numbers[name] = json.get<double>();
  } else if (json.is_boolean()) {
    numbers[name] = json.get<bool>() ? 1.0 : 0.0;
  }
}

/// What rules see that a flat number does not show: how many pockets may scorch or stay.
void add_counts(const Json& summary, Numbers& numbers) {
  const auto pockets = summary.find("air_pockets");
  if (pockets == summary.end() || !pockets->is_array()) return;
  for (const char* flag : {"may_scorch", "trapped"}) {
    const auto count = std::count_if(pockets->begin(), pockets->end(), [&](const Json& pocket) {
      return pocket.is_object() && pocket.value(flag, false);
    });
    numbers[fmt::format("air_pockets.{}_count", flag)] = static_cast<double>(count);
  }
}

void take(const std::string& text, std::size_t run, Series& series) {
  const Json json = Json::parse(text);
  Numbers numbers;
  flatten(json, "", numbers);
  add_counts(json, numbers);
  for (const auto& [name, value] : numbers) {
    std::vector<double>& column =
        series.numbers.try_emplace(name, std::vector<double>(series.size(), none)).first->second;
    column[run] = value;
  }
  series.outcomes[run] = json.at("fill").at("outcome").get<std::string>();
}

const char* state_name(RunState state) {
  switch (state) {
    case RunState::done:
      return "done";
    case RunState::failed:
      return "failed";
    case RunState::open:
      return "open";
  }
  return "";
}

std::string csv_text(const Series& series) {
  std::string text = "run,state";
  for (const std::string& key : series.keys) text += fmt::format(",{}", csv_field(key));
  text += ",fill.outcome";
  for (const auto& [name, column] : series.numbers) text += fmt::format(",{}", csv_field(name));
  text += ",reason\r\n";
  for (std::size_t i = 0; i < series.size(); ++i) {
    text += fmt::format("{},{}", i + 1, state_name(series.states[i]));
    for (const std::string& value : series.values[i]) text += fmt::format(",{}", csv_field(value));
    text += fmt::format(",{}", series.outcomes[i]);
    for (const auto& [name, column] : series.numbers)
      text += std::isnan(column[i]) ? "," : fmt::format(",{}", column[i]);
    text += fmt::format(",{}\r\n", csv_field(series.reasons[i]));
  }
  return text;
}

/// Symbol of the unit in which a dimension's doubles are.
std::string si_unit(Dimension dim) {
  constexpr double probe = 2.0;
  for (const std::string& symbol : unit_symbols(dim))
    if (convert_quantity(probe, symbol, dim) == probe) return symbol;
  return "1";
}

/// A slash would make a group.
std::string h5_name(const std::string& group, std::string name) {
  std::replace(name.begin(), name.end(), '/', '|');
  return fmt::format("{}/{}", group, name);
}

void write_axes(const Series& series, H5File& file) {
  for (std::size_t k = 0; k < series.keys.size(); ++k) {
    std::vector<std::string> written;
    std::vector<double> numbers;
    for (const auto& row : series.values) {
      written.push_back(row[k]);
      numbers.push_back(override_number({series.keys[k], row[k]}));
    }
    file.write_texts(h5_name("/written", series.keys[k]), written);
    const bool is_number =
        std::none_of(numbers.begin(), numbers.end(), [](double x) { return std::isnan(x); });
    const KeySpec& spec = override_spec(series.keys[k]);
    if (is_number)
      file.write(h5_name("/axes", series.keys[k]), numbers,
                 spec.kind == ValueKind::quantity ? si_unit(spec.dimension) : "1");
    else
      file.write_texts(h5_name("/axes", series.keys[k]), written);
  }
}

}  // namespace

double Series::number(const std::string& name, std::size_t run) const {
  const auto found = numbers.find(name);
  return found == numbers.end() ? none : found->second[run];
}

std::string unit_of_number(const std::string& name) {
  static const std::vector<std::pair<std::string, std::string>> endings = {
      {"_cm3_s", "cm3/s"}, {"_mm3", "mm3"},   {"_cm3", "cm3"}, {"_cm2", "cm2"}, {"_mm", "mm"},
      {"_um", "um"},       {"_MPa", "MPa"},   {"_bar", "bar"}, {"_kN", "kN"},   {"_per_s", "1/s"},
      {"_kg_h", "kg/h"},   {"_mm_s", "mm/s"}, {"_s", "s"},     {"_g", "g"},     {"_C", "degC"},
      {"_K", "K"},         {"_MB", "MB"},     {"_deg", "deg"}, {"_W", "W"},     {"_kJ", "kJ"},
      {"_J", "J"},         {"_h", "h"}};
  std::string bare = name;
  for (const char* bound : {"_low", "_high"})
    if (bare.ends_with(bound)) bare.resize(bare.size() - std::string(bound).size());
  for (const auto& [ending, unit] : endings)
    if (bare.ends_with(ending)) return unit;
  return "1";
}

Series collect(const SweepFolder& folder) {
  Series series;
  const SweepPlan& plan = folder.plan();
  series.keys = plan.keys;
  series.values = plan.values;
  series.states.resize(plan.size());
  series.reasons.resize(plan.size());
  series.outcomes.resize(plan.size());
  for (std::size_t i = 0; i < plan.size(); ++i) {
    series.states[i] = folder.state(i);
    series.reasons[i] = folder.failure(i);
    if (series.states[i] != RunState::done) continue;
    try {
      take(folder.summary(i), i, series);
    } catch (const Json::exception&) {
      series.states[i] = RunState::failed;
      series.reasons[i] = "summary.json of this run cannot be read";
    }
  }
  return series;
}

void append(Series& to, const Series& more) {
  const std::size_t before = to.size(), after = before + more.size();
  to.keys = more.keys;
  to.values.insert(to.values.end(), more.values.begin(), more.values.end());
  to.states.insert(to.states.end(), more.states.begin(), more.states.end());
  to.reasons.insert(to.reasons.end(), more.reasons.begin(), more.reasons.end());
  to.outcomes.insert(to.outcomes.end(), more.outcomes.begin(), more.outcomes.end());
  for (const auto& [name, column] : more.numbers)
    to.numbers.try_emplace(name, std::vector<double>(before, none));
  for (auto& [name, column] : to.numbers) {
    const auto found = more.numbers.find(name);
    if (found != more.numbers.end())
      column.insert(column.end(), found->second.begin(), found->second.end());
    column.resize(after, none);
  }
}

void write_series(const Series& series, const fs::path& folder) {
  const fs::path whole = folder / "series.h5";
  const fs::path prepared = temporary_name(whole);
  H5File file = H5File::create(prepared, whole);
  file.set_attribute("format", "firstshot series");
  file.set_attribute("version", std::int64_t{1});
  std::vector<std::int32_t> numbers;
  std::vector<std::string> states;
  for (std::size_t i = 0; i < series.size(); ++i) {
    numbers.push_back(static_cast<std::int32_t>(i + 1));
    states.emplace_back(state_name(series.states[i]));
  }
  file.write("/runs/number", numbers, "1");
  file.write_texts("/runs/state", states);
  file.write_texts("/runs/reason", series.reasons);
  file.write_texts("/texts/fill.outcome", series.outcomes);
  write_axes(series, file);
  for (const auto& [name, column] : series.numbers)
    file.write(h5_name("/numbers", name), column, unit_of_number(name));
  file.close();
  replace_atomically(prepared, whole);
  write_atomically(folder / "series.csv", csv_text(series));
}

}  // namespace firstshot
