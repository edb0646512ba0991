#include "io/case_table.hpp"

#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr std::size_t kMostItems = 100000;  // of one list; a drawn outline has some hundred corners
constexpr double kLargestDirection = 1e6;   // of a component of a direction, its inverse the least
constexpr std::size_t kLongestText = 1000;  // characters of a name or title

std::string joined(const std::string& parent, std::string_view key) {
  return parent.empty() ? std::string(key) : fmt::format("{}.{}", parent, key);
}

std::vector<std::string> names_of_table(const std::string& pattern) {
  std::vector<std::string> names;
  for (const KeySpec* spec : keys_of_table(pattern)) names.push_back(last_name(spec->path));
  return names;
}

// Path of a key of this name in another table, for those who put it in the wrong one.
std::string same_name_elsewhere(std::string_view key, bool in_layout_file) {
  for (const KeySpec& spec : case_keys()) {
    const bool in_layout = spec.path.starts_with("layout");
    if (in_layout == in_layout_file && last_name(spec.path) == key) return spec.path;
  }
  return {};
}

[[noreturn]] void throw_unknown(const TomlFile& file, const TomlEntry& entry,
                                const std::string& pattern, const std::string& shown) {
  const std::vector<std::string> known = names_of_table(pattern);
  const std::string near = nearest_word(entry.key, known);
  const std::string elsewhere = same_name_elsewhere(entry.key, pattern.starts_with("layout"));
  std::string hint = fmt::format("allowed here: {}", fmt::join(known, ", "));
  if (!near.empty()) {
    hint = fmt::format("the nearest known key is \"{}\"", near);
  } else if (!elsewhere.empty()) {
    hint = fmt::format("a key of this name is {}; {}", elsewhere, hint);
  }
  throw file.error(entry.place, joined(shown, entry.key), fmt::format("unknown key; {}", hint));
}

void check_groups(const TomlFile& file, const TomlNode& table, const std::string& pattern,
                  const std::string& shown) {
  for (const KeyGroup& group : case_key_groups()) {
    if (group.parent != pattern) continue;
    const TomlEntry* first = nullptr;
    for (const TomlEntry& entry : table.entries) {
      if (std::find(group.keys.begin(), group.keys.end(), entry.key) == group.keys.end()) continue;
      if (first != nullptr) {
        throw file.error(entry.place, joined(shown, entry.key),
                         fmt::format("cannot stand beside \"{}\"; give only one of {}", first->key,
                                     fmt::join(group.keys, ", ")));
      }
      first = &entry;
    }
    if (first == nullptr && group.required) {
      throw file.error(table.place, shown,
                       fmt::format("one of {} is needed", fmt::join(group.keys, ", ")));
    }
  }
}

void check_list_of_tables(const TomlFile& file, const TomlNode& list, const std::string& pattern,
                          const std::string& shown) {
  if (list.kind != NodeKind::array) {
    throw file.error(list.place, shown,
                     fmt::format("{} stands here, but a list of tables is needed: write [[{}]]",
                                 kind_name(list.kind), last_name(shown)));
  }
  if (list.items.size() > kMostItems) throw file.error(list.place, shown, "this list is too long");
  for (std::size_t i = 0; i < list.items.size(); ++i) {
    check_keys(file, list.items[i], pattern + "[]", fmt::format("{}[{}]", shown, i + 1));
  }
}

}  // namespace

void check_keys(const TomlFile& file, const TomlNode& table, const std::string& pattern,
                const std::string& shown) {
  if (table.kind != NodeKind::table) {
    throw file.error(table.place, shown,
                     fmt::format("{} stands here, but a table is needed", kind_name(table.kind)));
  }
  for (const TomlEntry& entry : table.entries) {
    const std::string path = joined(pattern, entry.key);
    const KeySpec* spec = find_key(path);
    if (spec == nullptr || entry.key.find_first_of(".[]") != std::string::npos) {
      throw_unknown(file, entry, pattern, shown);
    }
    const bool has_keys = !keys_of_table(path).empty();
    const std::string name = joined(shown, entry.key);
    if (spec->kind == ValueKind::tables) {
      check_list_of_tables(file, entry.value, path, name);
    } else if (spec->kind == ValueKind::table ||
               (has_keys && entry.value.kind == NodeKind::table)) {
      check_keys(file, entry.value, path, name);
    }
  }
  for (const KeySpec* spec : keys_of_table(pattern)) {
    const std::string key = last_name(spec->path);
    if (!spec->required || table.find(key) != nullptr) continue;
    const char* thing = spec->kind == ValueKind::table ? "table" : "key";
    throw file.error(table.place, joined(shown, key),
                     fmt::format("this {} is missing, but needed: {}", thing, spec->help));
  }
  check_groups(file, table, pattern, shown);
}

CaseTable::CaseTable(const TomlFile& file, const TomlNode* node, std::string pattern,
                     std::string shown)
    : file_(&file), node_(node), pattern_(std::move(pattern)), shown_(std::move(shown)) {}

const TomlNode* CaseTable::node(std::string_view key) const {
  return node_ == nullptr ? nullptr : node_->find(key);
}

std::string CaseTable::shown_key(std::string_view key) const { return joined(shown_, key); }

const KeySpec& CaseTable::spec(const std::string& key) const {
  const KeySpec* found = find_key(joined(pattern_, key));
  assert(found != nullptr);
  return *found;
}

void CaseTable::throw_missing(const std::string& key) const {
  throw error(key, fmt::format("this key is missing, but needed: {}", spec(key).help));
}

const TomlNode& CaseTable::required(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) throw_missing(key);
  return *found;
}

std::optional<double> CaseTable::quantity_if(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  const std::vector<std::string>& words = spec(key).words;
  if (found->kind == NodeKind::string &&
      std::find(words.begin(), words.end(), found->text) != words.end())
    return std::nullopt;
  return quantity_of(*file_, *found, shown_key(key), spec(key).dimension, spec(key).range);
}

std::optional<double> CaseTable::number_if(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  return number_of(*file_, *found, shown_key(key), spec(key).range);
}

std::optional<int> CaseTable::integer_if(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  return integer_of(*file_, *found, shown_key(key), spec(key).range);
}

std::optional<bool> CaseTable::flag_if(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  return flag_of(*file_, *found, shown_key(key));
}

std::optional<std::string> CaseTable::text_if(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  const std::string& value = text_of(*file_, *found, shown_key(key));
  if (value.empty() || value.size() > kLongestText) {
    throw error(key, fmt::format("a text of 1 to {} characters is needed", kLongestText));
  }
  if (value.find('\0') != std::string::npos) throw error(key, "the text holds a zero character");
  return value;
}

double CaseTable::quantity(const std::string& key) const {
  if (const auto value = quantity_if(key)) return *value;
  if (spec(key).default_value.empty()) throw_missing(key);
  return parse_quantity(spec(key).default_value, spec(key).dimension);
}

double CaseTable::number(const std::string& key) const {
  if (const auto value = number_if(key)) return *value;
  const std::string& text = spec(key).default_value;
  double value = 0.0;
  const auto end = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end.ec != std::errc{}) throw_missing(key);
  return value;
}

int CaseTable::integer(const std::string& key) const {
  if (const auto value = integer_if(key)) return *value;
  throw_missing(key);
}

bool CaseTable::flag(const std::string& key) const {
  if (const auto value = flag_if(key)) return *value;
  return spec(key).default_value == "true";
}

std::string CaseTable::text(const std::string& key) const {
  if (const auto value = text_if(key)) return *value;
  if (spec(key).required) throw_missing(key);
  return spec(key).default_value;
}

std::string CaseTable::word(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr && spec(key).default_value.empty()) throw_missing(key);
  return found == nullptr ? spec(key).default_value
                          : word_of(*file_, *found, shown_key(key), spec(key).words);
}

std::vector<std::pair<double, double>> CaseTable::pairs(const std::string& key) const {
  const KeySpec& s = spec(key);
  const std::string name = shown_key(key);
  std::vector<std::pair<double, double>> values;
  const auto& items = items_of(*file_, required(key), name);
  if (items.empty() || items.size() > kMostItems) {
    throw error(key, fmt::format("a list of 1 to {} pairs is needed", kMostItems));
  }
  for (const TomlNode& item : items) {
    const auto& pair = items_of(*file_, item, name);
    if (pair.size() != 2) {
      throw file_->error(item.place, name,
                         fmt::format("each entry needs two values: {} and {}",
                                     dimension_name(s.dimension), dimension_name(s.second)));
    }
    const double first = quantity_of(*file_, pair[0], name, s.dimension, s.range);
    values.emplace_back(first, quantity_of(*file_, pair[1], name, s.second, s.second_range));
  }
  return values;
}

std::vector<double> CaseTable::quantities(const std::string& key) const {
  const KeySpec& s = spec(key);
  std::vector<double> values;
  if (!has(key)) {
    for (std::string_view rest = s.default_value; !rest.empty();) {
      const std::size_t comma = std::min(rest.find(','), rest.size());
      values.push_back(parse_quantity(rest.substr(0, comma), s.dimension));
      rest.remove_prefix(std::min(rest.size(), comma + 1));
    }
    return values;
  }
  const auto& items = items_of(*file_, *node(key), shown_key(key));
  if (items.empty() || items.size() > kMostItems) {
    throw error(key, fmt::format("a list of 1 to {} quantities is needed", kMostItems));
  }
  for (const TomlNode& item : items)
    values.push_back(quantity_of(*file_, item, shown_key(key), s.dimension, s.range));
  return values;
}

std::optional<Point3> CaseTable::direction_if(const std::string& key) const {
  const TomlNode* found = node(key);
  if (found == nullptr) return std::nullopt;
  const std::string name = shown_key(key);
  if (found->kind == NodeKind::string) {
    static const std::vector<std::string> axes{"x", "y", "z", "-x", "-y", "-z"};
    const std::string& word = word_of(*file_, *found, name, axes);
    const double sign = word.front() == '-' ? -1.0 : 1.0;
    switch (word.back()) {
      case 'x':
        return Point3{sign, 0.0, 0.0};
      case 'y':
        return Point3{0.0, sign, 0.0};
      default:
        return Point3{0.0, 0.0, sign};
    }
  }
  const auto& items = items_of(*file_, *found, name);
  constexpr std::size_t n = 3;
  if (items.size() != n)
    throw error(key, "a word like \"z\" or three bare numbers are needed here: [x, y, z]");
  const auto number = [&](std::size_t i) {
    return number_of(*file_, items[i], name, between(-kLargestDirection, kLargestDirection));
  };
  const Point3 d{number(0), number(1), number(2)};
  if (std::abs(d.x) + std::abs(d.y) + std::abs(d.z) < 1.0 / kLargestDirection)
    throw error(key, "this direction has no length");
  return d;
}

Point CaseTable::point_at(const TomlNode& node, const std::string& key, const std::string& unit,
                          std::size_t most) const {
  const std::string name = shown_key(key);
  const auto& items = items_of(*file_, node, name);
  if (items.size() < 2 || items.size() > most) {
    throw file_->error(node.place, name,
                       most == 2
                           ? "two bare numbers are needed here: [x, y]"
                           : "two or three bare numbers are needed here: [x, y] or [x, y, bulge]");
  }
  const KeySpec& s = spec(key);
  double at[2] = {0.0, 0.0};
  for (std::size_t i = 0; i < 2; ++i) {
    const double written = number_of(*file_, items[i], name);
    at[i] = convert_quantity(written, unit, Dimension::length);
    if (!s.range.contains(at[i])) {
      throw file_->error(items[i].place, name,
                         fmt::format("{} {} is out of range; allowed: {}", format_number(written),
                                     unit, range_text(s.range, Dimension::length)));
    }
  }
  return {at[0], at[1]};
}

Point CaseTable::point(const std::string& key, const std::string& unit) const {
  return point_at(required(key), key, unit, 2);
}

std::vector<Point> CaseTable::points(const std::string& key, const std::string& unit) const {
  const auto& items = items_of(*file_, required(key), shown_key(key));
  const bool is_line = spec(key).kind == ValueKind::line;
  const bool is_places = spec(key).kind == ValueKind::places;
  if (items.size() < (is_places ? 1 : 2) ||
      items.size() > (is_line || is_places ? 2 : kMostItems)) {
    throw error(key, is_places ? "one or two points are needed: [[x, y]] or [[x, y], [x, y]]"
                     : is_line ? "two points are needed: [[x, y], [x, y]]"
                               : fmt::format("2 to {} points are needed: [[x, y], [x, y], ...]",
                                             kMostItems));
  }
  std::vector<Point> points;
  for (const TomlNode& item : items) {
    points.push_back(point_at(item, key, unit, 2));
    if (points.size() > 1 && points.back() == points[points.size() - 2]) {
      throw file_->error(item.place, shown_key(key), "this point is the same as the one before");
    }
  }
  return points;
}

std::vector<Corner> CaseTable::corners(const std::string& key, const std::string& unit) const {
  constexpr double kLargestBulge = 1000.0;  // an arc of 359.8 deg
  const auto& items = items_of(*file_, required(key), shown_key(key));
  if (items.size() < 2 || items.size() > kMostItems) {
    throw error(key, fmt::format("2 to {} corners are needed: [[x, y], [x, y], ...]", kMostItems));
  }
  std::vector<Corner> corners;
  bool bent = false;
  for (const TomlNode& item : items) {
    Corner corner{point_at(item, key, unit, 3), 0.0};
    if (item.items.size() == 3) {
      corner.bulge =
          number_of(*file_, item.items[2], shown_key(key), between(-kLargestBulge, kLargestBulge));
    }
    bent = bent || corner.bulge != 0.0;
    corners.push_back(corner);
  }
  if (corners.size() < 3 && !bent)
    throw error(key, "at least 3 corners are needed, or 2 with a bulge");
  return corners;
}

CaseTable CaseTable::table(const std::string& key) const {
  return {*file_, node(key), joined(pattern_, key), shown_key(key)};
}

std::vector<CaseTable> CaseTable::tables(const std::string& key) const {
  std::vector<CaseTable> all;
  const TomlNode* list = node(key);
  if (list == nullptr) return all;
  for (std::size_t i = 0; i < list->items.size(); ++i) {
    all.emplace_back(*file_, &list->items[i], joined(pattern_, key) + "[]",
                     fmt::format("{}[{}]", shown_key(key), i + 1));
  }
  return all;
}

CaseError CaseTable::error(const std::string& key, const std::string& what) const {
  const TomlNode* found = node(key);
  if (found == nullptr) found = node_;
  return file_->error(found == nullptr ? Place{} : found->place, shown_key(key), what);
}

std::string CaseTable::origin() const {
  const Place place = node_ == nullptr ? Place{} : node_->place;
  return fmt::format("{}:{}:{}", file_->name(), place.line, place.column);
}

}  // namespace firstshot
