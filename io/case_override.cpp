#include "io/case_override.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "io/key_reference.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

/// One word of a key with the place in its list, "gate[g-deck]".
struct KeyStep {
  std::string name;
  std::optional<std::string> place;
};

[[noreturn]] void refuse(const std::string& key, const std::string& what) {
  throw Error(fmt::format("{}: {}", key, what));
}

std::vector<KeyStep> steps_of(const std::string& key) {
  std::vector<KeyStep> steps;
  for (std::size_t at = 0; at <= key.size();) {
    KeyStep step;
    const std::size_t end = std::min(key.find_first_of(".[", at), key.size());
    step.name = key.substr(at, end - at);
    at = end;
    if (at < key.size() && key[at] == '[') {
      const std::size_t close = key.find(']', at);
      if (close == std::string::npos) refuse(key, "a bracket is not closed");
      step.place = key.substr(at + 1, close - at - 1);
      at = close + 1;
    }
    if (step.name.empty() || (at < key.size() && key[at] != '.'))
      refuse(key, "this is no key; write it like \"process.fill_time\" or \"vent[1].depth\"");
    steps.push_back(step);
    if (at == key.size()) break;
    ++at;
  }
  return steps;
}

std::string pattern_of(const std::vector<KeyStep>& steps) {
  std::string pattern;
  for (const KeyStep& step : steps)
    pattern += fmt::format("{}{}{}", pattern.empty() ? "" : ".", step.name, step.place ? "[]" : "");
  return pattern;
}

bool is_settable(const KeySpec& spec) {
  return spec.kind != ValueKind::table && spec.kind != ValueKind::tables;
}

[[noreturn]] void refuse_unknown(const std::string& key, const std::string& pattern) {
  std::vector<std::string> known;
  std::string unplaced;
  for (const KeySpec& spec : case_keys()) {
    if (!is_settable(spec)) continue;
    known.push_back(spec.path);
    std::string bare = spec.path;
    for (std::size_t at; (at = bare.find("[]")) != std::string::npos;) bare.erase(at, 2);
    if (bare == pattern && bare != spec.path) unplaced = spec.path;
  }
  if (!unplaced.empty())
    refuse(key, fmt::format("say which one of the list is meant, by number or name in the "
                            "brackets of \"{}\"",
                            unplaced));
  const std::string near = nearest_word(pattern, known);
  refuse(key, near.empty() ? "the table of keys has no such key; `firstshot explain` lists them all"
                           : fmt::format("unknown key; the nearest known key is \"{}\"", near));
}

/// The value as a node without a place.
TomlNode node_of(const KeySpec& spec, const CaseOverride& change) {
  TomlNode node;
  node.kind = NodeKind::string;
  node.text = change.value;
  switch (spec.kind) {
    case ValueKind::quantity:
    case ValueKind::text:
    case ValueKind::word:
    case ValueKind::file:
    case ValueKind::card:
      return node;
    case ValueKind::direction:
      if (!change.value.starts_with('[')) return node;
      break;
    default:
      break;
  }
  try {
    const TomlFile parsed = TomlFile::parse("value = " + change.value, "value");
    if (parsed.root().entries.size() == 1) return parsed.root().entries.front().value;
  } catch (const CaseError&) {  // said below, with what is needed
  }
  refuse(change.key,
         fmt::format("\"{}\" cannot be read; needed is {}", change.value, value_text(spec)));
}

void forget_places(TomlNode& node) {
  node.place = {};
  for (TomlNode& item : node.items) forget_places(item);
  for (TomlEntry& entry : node.entries) {
    entry.place = {};
    forget_places(entry.value);
  }
}

TomlNode* entry_of(TomlNode& table, std::string_view name) {
  for (TomlEntry& entry : table.entries)
    if (entry.key == name) return &entry.value;
  return nullptr;
}

TomlNode& made_entry(TomlNode& table, const std::string& name) {
  if (TomlNode* found = entry_of(table, name)) return *found;
  table.entries.push_back({name, {}, {}});
  return table.entries.back().value;
}

/// The table of a list that is meant.
TomlNode& item_of(TomlNode& list, const KeyStep& step, const std::string& key) {
  if (list.kind != NodeKind::array || list.items.empty())
    refuse(key, fmt::format("the case has no list \"{}\"", step.name));
  const std::string& place = *step.place;
  std::size_t number = 0;
  const auto end = std::from_chars(place.data(), place.data() + place.size(), number);
  if (end.ec == std::errc() && end.ptr == place.data() + place.size()) {
    if (number >= 1 && number <= list.items.size()) return list.items[number - 1];
    refuse(key,
           fmt::format("the list \"{}\" has the places 1 to {}", step.name, list.items.size()));
  }
  std::vector<std::string> names;
  for (TomlNode& item : list.items) {
    const TomlNode* name = item.find("name");
    if (name == nullptr || name->kind != NodeKind::string) continue;
    if (name->text == place) return item;
    names.push_back(name->text);
  }
  const std::string near = nearest_word(place, names);
  refuse(key, fmt::format("the list \"{}\" has no entry of that name{}", step.name,
                          near.empty() ? "" : fmt::format("; the nearest is \"{}\"", near)));
}

/// Removes what must not stand beside the key.
void clear_group(TomlNode& table, const std::string& pattern) {
  for (const KeyGroup& group : case_key_groups()) {
    if (group.parent != parent_pattern(pattern)) continue;
    const std::string name = last_name(pattern);
    if (std::find(group.keys.begin(), group.keys.end(), name) == group.keys.end()) continue;
    std::erase_if(table.entries, [&](const TomlEntry& entry) {
      return entry.key != name &&
             std::find(group.keys.begin(), group.keys.end(), entry.key) != group.keys.end();
    });
  }
}

/// Two keys of one table of which only one can stand there: the second would silently win.
void refuse_rivals(std::span<const CaseOverride> changes) {
  for (const CaseOverride& change : changes)
    for (const CaseOverride& other : changes) {
      if (change.key == other.key || parent_pattern(change.key) != parent_pattern(other.key))
        continue;
      for (const KeyGroup& group : case_key_groups()) {
        const auto has = [&](const std::string& key) {
          return std::find(group.keys.begin(), group.keys.end(), last_name(key)) !=
                 group.keys.end();
        };
        if (group.parent == parent_pattern(pattern_of(steps_of(change.key))) && has(change.key) &&
            has(other.key))
          refuse(other.key, fmt::format("it excludes {}; set only one of them", change.key));
      }
    }
}

void put(TomlNode& root, const CaseOverride& change) {
  const std::vector<KeyStep> steps = steps_of(change.key);
  TomlNode* table = &root;
  for (std::size_t i = 0; i + 1 < steps.size(); ++i) {
    TomlNode& entry = made_entry(*table, steps[i].name);
    table = steps[i].place ? &item_of(entry, steps[i], change.key) : &entry;
    if (table->kind != NodeKind::table) {  // one temperature that becomes two
      *table = {};
    }
  }
  clear_group(*table, pattern_of(steps));
  TomlNode value = node_of(override_spec(change.key), change);
  forget_places(value);
  made_entry(*table, steps.back().name) = value;
}

/// A layout file becomes the table of the case, so that its values can be changed.
void take_in_layout(TomlFile& file) {
  TomlNode* geometry = entry_of(file.edit(), "geometry");
  const TomlNode* name = geometry == nullptr ? nullptr : geometry->find("layout");
  if (name == nullptr || name->kind != NodeKind::string) return;
  const TomlFile layout =
      TomlFile::read((file.directory() / fs::path(name->text)).lexically_normal());
  TomlNode table = layout.root();
  forget_places(table);
  std::erase_if(geometry->entries, [](const TomlEntry& e) { return e.key == "layout"; });
  made_entry(file.edit(), "layout") = table;
}

}  // namespace

const KeySpec& override_spec(const std::string& key) {
  const std::string pattern = pattern_of(steps_of(key));
  const KeySpec* spec = find_key(pattern);
  if (spec == nullptr) refuse_unknown(key, pattern);
  if (!is_settable(*spec)) refuse(key, "this is a table; name one of the keys in it");
  return *spec;
}

void check_override(const CaseOverride& change) {
  const KeySpec& spec = override_spec(change.key);
  const bool is_word =
      std::find(spec.words.begin(), spec.words.end(), change.value) != spec.words.end();
  const TomlFile none = TomlFile::parse("", "");
  const TomlNode node = node_of(spec, change);
  try {
    if (spec.kind == ValueKind::quantity && !is_word)
      quantity_of(none, node, change.key, spec.dimension, spec.range);
    if (spec.kind == ValueKind::number) number_of(none, node, change.key, spec.range);
    if (spec.kind == ValueKind::integer) integer_of(none, node, change.key, spec.range);
    if (spec.kind == ValueKind::flag) flag_of(none, node, change.key);
    if (spec.kind == ValueKind::word) word_of(none, node, change.key, spec.words);
  } catch (const CaseError& wrong) {
    refuse(change.key, wrong.reason());
  }
}

double override_number(const CaseOverride& change) {
  const KeySpec& spec = override_spec(change.key);
  if (std::find(spec.words.begin(), spec.words.end(), change.value) != spec.words.end())
    return std::nan("");
  if (spec.kind == ValueKind::quantity) return parse_quantity(change.value, spec.dimension);
  if (spec.kind != ValueKind::number && spec.kind != ValueKind::integer) return std::nan("");
  return node_of(spec, change).number;
}

CaseOverride override_from(std::string_view text) {
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos || equals == 0)
    throw Error(
        fmt::format("\"{}\" sets nothing; write KEY=VALUE, like "
                    "\"process.fill_time=0.5 s\"",
                    text));
  const auto trimmed = [](std::string_view part) {
    const std::size_t first = part.find_first_not_of(" \t");
    if (first == std::string_view::npos) return std::string();
    return std::string(part.substr(first, part.find_last_not_of(" \t") - first + 1));
  };
  CaseOverride change{trimmed(text.substr(0, equals)), trimmed(text.substr(equals + 1))};
  check_override(change);
  return change;
}

void apply_overrides(TomlFile& file, std::span<const CaseOverride> changes) {
  const bool in_layout = std::any_of(changes.begin(), changes.end(), [](const CaseOverride& c) {
    return c.key.starts_with("layout.");
  });
  refuse_rivals(changes);
  if (in_layout) take_in_layout(file);
  for (const CaseOverride& change : changes) {
    check_override(change);
    put(file.edit(), change);
  }
}

}  // namespace firstshot
