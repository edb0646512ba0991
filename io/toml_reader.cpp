#include "io/toml_reader.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double kIntegerLimit = 1e9;  // whole numbers in our files count layers and steps

// Rows of the edit distance of Levenshtein; words are short.
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, replaced});
    }
  }
  return row.back();
}

std::string quoted_list(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words)
    text += fmt::format("{}\"{}\"", text.empty() ? "" : ", ", word);
  return text;
}

std::string bound_text(double value, std::optional<Dimension> dim) {
  return dim ? format_quantity(value, *dim) : format_number(value);
}

[[noreturn]] void throw_wrong_kind(const TomlFile& file, const TomlNode& node,
                                   const std::string& key, const std::string& wanted) {
  throw file.error(node.place, key,
                   fmt::format("{} stands here, but {} is needed", kind_name(node.kind), wanted));
}

void check_range(const TomlFile& file, const TomlNode& node, const std::string& key, double value,
                 const Range& range, std::optional<Dimension> dim) {
  if (range.contains(value)) return;
  const std::string shown =
      node.kind == NodeKind::string ? fmt::format("\"{}\"", node.text) : format_number(value);
  throw file.error(node.place, key,
                   fmt::format("{} is out of range; allowed: {}", shown, range_text(range, dim)));
}

}  // namespace

bool Range::contains(double value) const {
  const bool above = min_open ? value > min : value >= min;
  const bool below = max_open ? value < max : value <= max;
  return above && below;
}

std::string range_text(const Range& range, std::optional<Dimension> dim) {
  const bool has_min = std::isfinite(range.min);
  const bool has_max = std::isfinite(range.max);
  const std::string low = has_min ? bound_text(range.min, dim) : "";
  const std::string high = has_max ? bound_text(range.max, dim) : "";
  if (has_min && has_max && !range.min_open && !range.max_open)
    return fmt::format("from {} to {}", low, high);
  std::string text;
  if (has_min) text = fmt::format("{} {}", range.min_open ? "more than" : "at least", low);
  if (has_min && has_max) text += " and ";
  if (has_max) text += fmt::format("{} {}", range.max_open ? "less than" : "at most", high);
  return text.empty() ? "any finite value" : text;
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& words) {
  constexpr std::size_t kLongestWord =
      60;  // a longer one is no slip of the pen, and the distance costs its square
  if (word.size() > kLongestWord) return {};
  std::string best;
  std::size_t best_distance = std::max<std::size_t>(2, word.size() / 3) + 1;
  for (const std::string& candidate : words) {
    const std::size_t distance = edit_distance(word, candidate);
    if (distance < best_distance) {
      best_distance = distance;
      best = candidate;
    }
  }
  return best;
}

double quantity_of(const TomlFile& file, const TomlNode& node, const std::string& key,
                   Dimension dim, const Range& range) {
  if (node.kind == NodeKind::integer || node.kind == NodeKind::number) {
    throw file.error(
        node.place, key,
        fmt::format("a bare number is not allowed here; write {} with its unit, like \"{}\"",
                    dimension_name(dim), example_quantity(dim)));
  }
  if (node.kind != NodeKind::string) {
    throw_wrong_kind(file, node, key,
                     fmt::format("{} like \"{}\"", dimension_name(dim), example_quantity(dim)));
  }
  double value = 0.0;
  try {
    value = parse_quantity(node.text, dim);
  } catch (const UnitError& e) {
    throw file.error(node.place, key, e.what());
  }
  check_range(file, node, key, value, range, dim);
  return value;
}

double number_of(const TomlFile& file, const TomlNode& node, const std::string& key,
                 const Range& range) {
  if (node.kind != NodeKind::integer && node.kind != NodeKind::number) {
    throw_wrong_kind(file, node, key, "a number");
  }
  if (!std::isfinite(node.number)) throw file.error(node.place, key, "this is not a finite number");
  check_range(file, node, key, node.number, range, std::nullopt);
  return node.number;
}

int integer_of(const TomlFile& file, const TomlNode& node, const std::string& key,
               const Range& range) {
  if (node.kind != NodeKind::integer) throw_wrong_kind(file, node, key, "a whole number");
  Range whole = range;
  whole.min = std::max(whole.min, -kIntegerLimit);
  whole.max = std::min(whole.max, kIntegerLimit);
  check_range(file, node, key, node.number, whole, std::nullopt);
  return static_cast<int>(node.number);
}

bool flag_of(const TomlFile& file, const TomlNode& node, const std::string& key) {
  if (node.kind != NodeKind::boolean) throw_wrong_kind(file, node, key, "true or false");
  return node.flag;
}

const std::string& text_of(const TomlFile& file, const TomlNode& node, const std::string& key) {
  if (node.kind != NodeKind::string) throw_wrong_kind(file, node, key, "a text in quotes");
  return node.text;
}

const std::string& word_of(const TomlFile& file, const TomlNode& node, const std::string& key,
                           const std::vector<std::string>& words) {
  if (node.kind != NodeKind::string)
    throw_wrong_kind(file, node, key, "one of " + quoted_list(words));
  if (std::find(words.begin(), words.end(), node.text) != words.end()) return node.text;
  const std::string near = nearest_word(node.text, words);
  throw file.error(
      node.place, key,
      fmt::format("\"{}\" is not known here; allowed: {}{}", node.text, quoted_list(words),
                  near.empty() ? "" : fmt::format(" (nearest: \"{}\")", near)));
}

const std::vector<TomlNode>& items_of(const TomlFile& file, const TomlNode& node,
                                      const std::string& key) {
  if (node.kind != NodeKind::array) throw_wrong_kind(file, node, key, "a list in square brackets");
  return node.items;
}

TableReader::TableReader(const TomlFile& file) : TableReader(file, file.root(), "") {}

TableReader::TableReader(const TomlFile& file, const TomlNode& table, std::string path)
    : file_(&file), table_(&table), path_(std::move(path)) {
  if (table.kind != NodeKind::table) throw_wrong_kind(file, table, path_, "a table");
}

bool TableReader::has(std::string_view key) const { return table_->find(key) != nullptr; }

std::string TableReader::full_key(std::string_view key) const {
  return path_.empty() ? std::string(key) : fmt::format("{}.{}", path_, key);
}

const TomlNode* TableReader::node(const std::string& key) {
  if (std::find(asked_.begin(), asked_.end(), key) == asked_.end()) asked_.push_back(key);
  return table_->find(key);
}

const TomlNode& TableReader::required(const std::string& key) {
  const TomlNode* found = node(key);
  if (found == nullptr) throw error(key, "this key is missing, but needed");
  return *found;
}

double TableReader::quantity(const std::string& key, Dimension dim, const Range& range) {
  return quantity_of(*file_, required(key), full_key(key), dim, range);
}

double TableReader::quantity_or(const std::string& key, Dimension dim, double missing,
                                const Range& range) {
  const TomlNode* found = node(key);
  return found == nullptr ? missing : quantity_of(*file_, *found, full_key(key), dim, range);
}

double TableReader::number(const std::string& key, const Range& range) {
  return number_of(*file_, required(key), full_key(key), range);
}

double TableReader::number_or(const std::string& key, double missing, const Range& range) {
  const TomlNode* found = node(key);
  return found == nullptr ? missing : number_of(*file_, *found, full_key(key), range);
}

std::string TableReader::text(const std::string& key) {
  return text_of(*file_, required(key), full_key(key));
}

std::string TableReader::text_or(const std::string& key, const std::string& missing) {
  const TomlNode* found = node(key);
  return found == nullptr ? missing : text_of(*file_, *found, full_key(key));
}

std::string TableReader::word(const std::string& key, const std::vector<std::string>& words) {
  return word_of(*file_, required(key), full_key(key), words);
}

bool TableReader::flag_or(const std::string& key, bool missing) {
  const TomlNode* found = node(key);
  return found == nullptr ? missing : flag_of(*file_, *found, full_key(key));
}

std::pair<double, double> TableReader::interval(const std::string& key, Dimension dim,
                                                const Range& range) {
  const TomlNode& list = required(key);
  const std::string name = full_key(key);
  const auto& items = items_of(*file_, list, name);
  if (items.size() != 2)
    throw file_->error(list.place, name, "two values are needed: lower and upper bound");
  const double low = quantity_of(*file_, items[0], name, dim, range);
  const double high = quantity_of(*file_, items[1], name, dim, range);
  if (!(low < high))
    throw file_->error(list.place, name, "the lower bound must be less than the upper bound");
  return {low, high};
}

std::vector<std::pair<double, double>> TableReader::quantity_pairs(const std::string& key,
                                                                   Dimension first,
                                                                   Dimension second) {
  const std::string name = full_key(key);
  std::vector<std::pair<double, double>> pairs;
  for (const TomlNode& item : items_of(*file_, required(key), name)) {
    const auto& values = items_of(*file_, item, name);
    if (values.size() != 2) throw file_->error(item.place, name, "each entry needs two values");
    const double value = quantity_of(*file_, values[0], name, first);
    pairs.emplace_back(value, quantity_of(*file_, values[1], name, second));
  }
  return pairs;
}

TableReader TableReader::table(const std::string& key) {
  return {*file_, required(key), full_key(key)};
}

std::optional<TableReader> TableReader::table_if(const std::string& key) {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  return TableReader(*file_, *found, full_key(key));
}

void TableReader::finish() const {
  for (const TomlEntry& entry : table_->entries) {
    if (std::find(asked_.begin(), asked_.end(), entry.key) != asked_.end()) continue;
    const std::string near = nearest_word(entry.key, asked_);
    throw file_->error(entry.place, full_key(entry.key),
                       near.empty()
                           ? fmt::format("unknown key; allowed here: {}", fmt::join(asked_, ", "))
                           : fmt::format("unknown key; the nearest known key is \"{}\"", near));
  }
}

CaseError TableReader::error(const std::string& key, const std::string& what) const {
  const TomlNode* found = table_->find(key);
  return file_->error(found != nullptr ? found->place : table_->place, full_key(key), what);
}

}  // namespace firstshot
