#include "io/trial_shots.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <set>

#include <fmt/format.h>

#include "io/case_keys.hpp"

namespace firstshot {
namespace {

constexpr std::size_t most_shots = 1000;
constexpr const char* filled_prefix = "filled.";
constexpr const char* scatter_suffix = "_scatter";

struct SeenColumn {
  const char* name;
  TrialQuantity quantity;
  Dimension dimension;
  Range range;
};
constexpr double highest_pressure = 1e9;  // [Pa]
constexpr double heaviest = 100.0;        // [kg]
const std::array<SeenColumn, 4> seen_columns{
    {{"peak_pressure",
      TrialQuantity::peak_pressure,
      Dimension::pressure,
      {0.0, highest_pressure, true, false}},
     {"peak_oil_pressure",
      TrialQuantity::peak_oil_pressure,
      Dimension::pressure,
      {0.0, highest_pressure, true, false}},
     {"shot_weight", TrialQuantity::shot_weight, Dimension::mass, {0.0, heaviest, true, false}},
     {filled_prefix, TrialQuantity::filled, Dimension::ratio, {0.0, 1.0}}}};

enum class Role {
  remark,
  name,
  setting,
  stroke_volume,
  holding_pressure,
  holding_time,
  seen,
  scatter,
  shorts
};

struct Column {
  Role role = Role::remark;
  std::string name;  ///< without unit
  std::string unit;
  std::string key;  ///< of a setting
  const SeenColumn* seen = nullptr;
  std::string part;  ///< of filled
};

class Reader {
 public:
  explicit Reader(const CsvTable& table) : table_(table) {
    for (const CsvCell& cell : table.head.cells) columns_.push_back(column_of(cell));
    check_columns();
  }
  Trials trials() const {
    Trials out;
    out.table = table_;
    out.scatter_given = scatter_given_;
    if (table_.rows.empty()) throw head_error(0, "there is no row of a shot below the head row");
    if (table_.rows.size() > most_shots)
      throw table_.error(table_.rows[most_shots], table_.rows[most_shots].cells[0],
                         fmt::format("more than {} shots", most_shots));
    for (const CsvRow& row : table_.rows) out.shots.push_back(shot_of(row, out.shots.size() + 1));
    if (std::none_of(out.shots.begin(), out.shots.end(),
                     [](const TrialShot& s) { return !s.numbers.empty() || s.shorts; }))
      throw head_error(0, "no shot has a number or a mark of what was seen");
    return out;
  }

 private:
  CaseError head_error(std::size_t column, const std::string& what) const {
    return table_.error(table_.head, table_.head.cells[column], what);
  }
  [[noreturn]] void refuse_head(const CsvCell& cell, const std::string& what) const {
    throw table_.error(table_.head, cell, what);
  }

  Column column_of(const CsvCell& cell) const;
  bool take_special(Column& c) const;
  bool take_seen(Column& c, const CsvCell& cell) const;
  void take_key(Column& c, const CsvCell& cell) const;
  void check_unit(const Column& c, const CsvCell& cell, Dimension dimension) const;
  void check_columns();
  void check_groups() const;
  std::optional<std::size_t> find(const std::function<bool(const Column&)>& wanted) const {
    const auto at = std::find_if(columns_.begin(), columns_.end(), wanted);
    if (at == columns_.end()) return std::nullopt;
    return static_cast<std::size_t>(at - columns_.begin());
  }
  std::optional<std::size_t> find(Role role) const {
    return find([role](const Column& c) { return c.role == role; });
  }

  double in_si(const CsvRow& row, std::size_t k, Dimension dimension, const Range& range) const;
  CaseOverride setting_of(const CsvRow& row, std::size_t k) const;
  TrialShot shot_of(const CsvRow& row, std::size_t number) const;
  void add_holding(const CsvRow& row, TrialShot& shot) const;
  std::vector<CsvCell> shorts_of(const CsvCell& cell) const;

  const CsvTable& table_;
  std::vector<Column> columns_;
  bool scatter_given_ = false;
};

/// The name before a unit in brackets, and the unit.
std::pair<std::string, std::string> name_and_unit(const std::string& text) {
  for (const auto& [open, close] : {std::pair(" [", ']'), std::pair(" (", ')')}) {
    const std::size_t at = text.rfind(open);
    if (at == std::string::npos || !text.ends_with(close)) continue;
    const std::size_t end = text.find_last_not_of(' ', at);
    return {text.substr(0, end + 1), text.substr(at + 2, text.size() - at - 3)};
  }
  return {text, {}};
}

bool Reader::take_special(Column& c) const {
  const std::array<std::pair<const char*, Role>, 5> names{
      {{"shot", Role::name},
       {"note", Role::remark},
       {"holding_pressure", Role::holding_pressure},
       {"holding_time", Role::holding_time},
       {"short_parts", Role::shorts}}};
  for (const auto& [name, role] : names)
    if (c.name == name) {
      c.role = role;
      return true;
    }
  if (c.name == "injected_volume") c.role = Role::stroke_volume;
  return c.role == Role::stroke_volume;
}

bool Reader::take_seen(Column& c, const CsvCell& cell) const {
  std::string name = c.name;
  const bool scatter = name.ends_with(scatter_suffix);
  if (scatter) name.resize(name.size() - std::string(scatter_suffix).size());
  for (const SeenColumn& seen : seen_columns) {
    const bool by_part = seen.quantity == TrialQuantity::filled && name.starts_with(seen.name);
    if (name != seen.name && !by_part) continue;
    c.seen = &seen;
    c.role = scatter ? Role::scatter : Role::seen;
    if (by_part) c.part = name.substr(std::string(seen.name).size());
    if (by_part && c.part.empty()) refuse_head(cell, "the part is missing, like \"filled.deck\"");
    return true;
  }
  return false;
}

void Reader::take_key(Column& c, const CsvCell& cell) const {
  c.role = Role::setting;
  c.key = c.name == "stroke" ? "process.switch_over.position" : c.name;
  if (find_key("process." + c.key) != nullptr) c.key = "process." + c.key;
  try {
    const KeySpec& spec = override_spec(c.key);
    if (spec.kind == ValueKind::quantity)
      check_unit(c, cell, spec.dimension);
    else if (!c.unit.empty())
      refuse_head(cell, fmt::format("{} has no unit", c.name));
  } catch (const CaseError&) {
    throw;
  } catch (const Error& e) {
    std::vector<std::string> words = {
        "shot",         "note",       "stroke", "injected_volume", "holding_pressure",
        "holding_time", "short_parts"};
    for (const SeenColumn& seen : seen_columns) words.emplace_back(seen.name);
    for (const KeySpec* key : keys_of_table("process")) words.push_back(last_name(key->path));
    const std::string near = nearest_word(c.name, words);
    refuse_head(
        cell, near.empty()
                  ? fmt::format("no column of that name is known ({}); see firstshot "
                                "calibrate --help",
                                e.what())
                  : fmt::format("no column \"{}\" is known; the nearest is \"{}\"", c.name, near));
  }
}

void Reader::check_unit(const Column& c, const CsvCell& cell, Dimension dimension) const {
  if (c.unit.empty())
    refuse_head(cell, fmt::format("the unit is missing, like \"{} [{}]\"; allowed: {}", c.name,
                                  unit_symbols(dimension).front(), allowed_units(dimension)));
  try {
    convert_quantity(1.0, c.unit, dimension);
  } catch (const UnitError& e) {
    refuse_head(cell, fmt::format("[{}]: {}", c.unit, e.what()));
  }
}

Column Reader::column_of(const CsvCell& cell) const {
  Column c;
  std::tie(c.name, c.unit) = name_and_unit(cell.text);
  if (c.name.empty()) refuse_head(cell, "this column has no name");
  if (take_special(c)) {
    if (c.role == Role::stroke_volume) check_unit(c, cell, Dimension::volume);
    if (c.role == Role::holding_pressure) check_unit(c, cell, Dimension::pressure);
    if (c.role == Role::holding_time) check_unit(c, cell, Dimension::time);
  } else if (take_seen(c, cell)) {
    check_unit(c, cell, c.seen->dimension);
  } else {
    take_key(c, cell);
  }
  return c;
}

void Reader::check_columns() {
  std::set<std::string> names;
  for (std::size_t k = 0; k < columns_.size(); ++k) {
    const Column& c = columns_[k];
    if (c.role == Role::remark) continue;
    if (!names.insert(c.key.empty() ? c.name : c.key).second)
      throw head_error(k, fmt::format("there are two columns \"{}\"", c.name));
  }
  const auto pressure = find(Role::holding_pressure), time = find(Role::holding_time);
  if (pressure.has_value() != time.has_value())
    throw head_error(pressure ? *pressure : *time,
                     "holding_pressure and holding_time belong together; one of them is missing");
  if (pressure && names.contains("process.holding"))
    throw head_error(*pressure, "contradicts the column of process.holding");
  const bool any_scatter = find(Role::scatter).has_value();
  for (std::size_t k = 0; k < columns_.size() && any_scatter; ++k) {
    const Column& c = columns_[k];
    if (c.role == Role::seen && !names.contains(c.name + scatter_suffix))
      throw head_error(k, fmt::format("the scatter of other columns is given, that of {0} is not; "
                                      "add a column {0}{1}, or leave all out",
                                      c.name, scatter_suffix));
    std::string of = c.name;
    if (c.role == Role::scatter) of.resize(of.size() - std::string(scatter_suffix).size());
    if (c.role == Role::scatter && !names.contains(of))
      throw head_error(k, fmt::format("there is no column {} that could scatter", of));
  }
  scatter_given_ = any_scatter;
  check_groups();
}

/// Keys of which a case may have one only.
void Reader::check_groups() const {
  for (const KeyGroup& group : case_key_groups()) {
    std::optional<std::size_t> first;
    for (std::size_t k = 0; k < columns_.size(); ++k) {
      const Column& c = columns_[k];
      const std::string key =
          c.role == Role::stroke_volume ? "process.switch_over.position" : c.key;
      if (key.empty() || parent_pattern(key) != group.parent ||
          std::find(group.keys.begin(), group.keys.end(), last_name(key)) == group.keys.end())
        continue;
      if (first)
        throw head_error(k, fmt::format("contradicts the column {}: a shot has only one of {}",
                                        columns_[*first].name, fmt::join(group.keys, ", ")));
      first = k;
    }
  }
}

double Reader::in_si(const CsvRow& row, std::size_t k, Dimension dimension,
                     const Range& range) const {
  const CsvCell& cell = row.cells[k];
  const double value = convert_quantity(csv_number(table_, row, cell), columns_[k].unit, dimension);
  if (!range.contains(value))
    throw table_.error(row, cell,
                       fmt::format("{} {} is no {}; allowed: {}", cell.text, columns_[k].unit,
                                   columns_[k].name, range_text(range, dimension)));
  return value;
}

CaseOverride Reader::setting_of(const CsvRow& row, std::size_t k) const {
  const Column& c = columns_[k];
  const CsvCell& cell = row.cells[k];
  const ValueKind kind = override_spec(c.key).kind;
  CaseOverride change{c.key, cell.text};
  if (kind == ValueKind::quantity)
    change.value = fmt::format("{} {}", format_number(csv_number(table_, row, cell)), c.unit);
  if (kind == ValueKind::number) change.value = format_number(csv_number(table_, row, cell));
  try {
    check_override(change);
  } catch (const Error& e) {
    throw table_.error(row, cell, e.what());
  }
  return change;
}

void Reader::add_holding(const CsvRow& row, TrialShot& shot) const {
  const auto pressure = find(Role::holding_pressure), time = find(Role::holding_time);
  if (!pressure) return;
  const double p = in_si(row, *pressure, Dimension::pressure, {0.0, highest_pressure});
  const double t = in_si(row, *time, Dimension::time, positive());
  shot.settings.push_back(
      {"process.holding", fmt::format("[[\"{}\", \"{}\"]]", format_quantity(p, Dimension::pressure),
                                      format_quantity(t, Dimension::time))});
}

/// Names with + between them, each with its place.
std::vector<CsvCell> Reader::shorts_of(const CsvCell& cell) const {
  std::vector<CsvCell> parts;
  if (cell.text == "none" || cell.text == "-") return parts;
  for (std::size_t at = 0; at <= cell.text.size();) {
    const std::size_t end = std::min(cell.text.find('+', at), cell.text.size());
    const std::string piece = cell.text.substr(at, end - at);
    const std::size_t first = piece.find_first_not_of(' ');
    if (first != std::string::npos)
      parts.push_back({piece.substr(first, piece.find_last_not_of(' ') - first + 1),
                       cell.column + static_cast<int>(at + first)});
    at = end + 1;
  }
  return parts;
}

TrialShot Reader::shot_of(const CsvRow& row, std::size_t number) const {
  TrialShot shot;
  shot.name = fmt::format("shot {}", number);
  shot.row = row;
  for (std::size_t k = 0; k < columns_.size(); ++k) {
    const Column& c = columns_[k];
    const CsvCell& cell = row.cells[k];
    const bool is_set = c.role == Role::setting || c.role == Role::stroke_volume ||
                        c.role == Role::holding_pressure || c.role == Role::holding_time;
    if (is_set && cell.text.empty())
      throw table_.error(
          row, cell,
          fmt::format("{} is missing; what was set stands in every row, or leave the "
                      "column out to take what the case says",
                      c.name));
    if (cell.text.empty()) continue;
    if (c.role == Role::name) shot.name = cell.text;
    if (c.role == Role::setting) shot.settings.push_back(setting_of(row, k));
    if (c.role == Role::stroke_volume)
      shot.injected_volume = in_si(row, k, Dimension::volume, positive());
    if (c.role == Role::shorts) shot.shorts = shorts_of(cell);
    if (c.role != Role::seen) continue;
    TrialNumber n{
        c.seen->quantity, c.part, in_si(row, k, c.seen->dimension, c.seen->range), {}, cell};
    if (scatter_given_) {
      const auto at = find([&](const Column& s) { return s.name == c.name + scatter_suffix; });
      if (row.cells[*at].text.empty())
        throw table_.error(row, row.cells[*at], "the scatter of this number is missing");
      n.scatter = in_si(row, *at, c.seen->dimension, positive());
    }
    shot.numbers.push_back(n);
  }
  add_holding(row, shot);
  return shot;
}

}  // namespace

std::string quantity_words(TrialQuantity quantity, const std::string& part) {
  switch (quantity) {
    case TrialQuantity::peak_pressure:
      return "peak pressure";
    case TrialQuantity::peak_oil_pressure:
      return "peak oil pressure";
    case TrialQuantity::shot_weight:
      return "shot weight";
    case TrialQuantity::filled:
      break;
  }
  return fmt::format("filled {}", part);
}

Trials trials_from(const CsvTable& table) { return Reader(table).trials(); }

Trials read_trials(const std::filesystem::path& path) { return trials_from(read_csv(path)); }

}  // namespace firstshot
