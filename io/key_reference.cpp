#include "io/key_reference.hpp"

#include <cmath>

#include <fmt/format.h>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

// "part[2].hole[1]" → "part.hole": brackets and blanks do not matter to who asks.
std::string without_brackets(std::string_view path) {
  std::string plain;
  bool inside = false;
  for (const char c : path) {
    if (c == '[') inside = true;
    if (!inside && c != ' ') plain += c;
    if (c == ']') inside = false;
  }
  return plain;
}

const KeySpec* match(const std::string& asked, const std::string& prefix) {
  for (const KeySpec& spec : case_keys()) {
    if (without_brackets(spec.path) == prefix + asked) return &spec;
  }
  return nullptr;
}

const KeySpec* only_key_of_name(const std::string& name) {
  const KeySpec* found = nullptr;
  for (const KeySpec& spec : case_keys()) {
    if (last_name(spec.path) != name) continue;
    if (found != nullptr) return nullptr;
    found = &spec;
  }
  return found;
}

// Paths in which the asked text occurs, for those who remember only half of a name.
std::string keys_containing(const std::string& text) {
  constexpr std::size_t kShortest = 3;  // shorter pieces occur everywhere
  std::string all;
  for (const KeySpec& spec : case_keys()) {
    if (text.size() < kShortest || spec.path.find(text) == std::string::npos) continue;
    all += fmt::format("{}{}", all.empty() ? "" : ", ", spec.path);
  }
  return all;
}

[[noreturn]] void throw_unknown(const std::string& asked) {
  std::vector<std::string> paths;
  std::vector<std::string> names;
  for (const KeySpec& spec : case_keys()) {
    paths.push_back(spec.path);
    paths.push_back(without_brackets(spec.path));
    names.push_back(last_name(spec.path));
  }
  std::string near = nearest_word(asked, paths);
  const std::string near_name = nearest_word(last_name(asked), names);
  std::string also;
  for (const KeySpec& spec : case_keys()) {
    if (last_name(spec.path) != near_name) continue;
    also += fmt::format("{}{}", also.empty() ? "" : ", ", spec.path);
  }
  if (near.empty()) near = also.empty() ? keys_containing(last_name(asked)) : also;
  throw Error(fmt::format("there is no key \"{}\"{}", asked,
                          near.empty() ? "; the reference page lists all keys"
                                       : fmt::format("; the nearest known: {}", near)));
}

std::string sub_keys(const KeySpec& spec) {
  const std::string pattern = spec.kind == ValueKind::tables ? spec.path + "[]" : spec.path;
  std::string text;
  for (const KeySpec* key : keys_of_table(pattern))
    text += fmt::format("\n    {}: {}", key->path, key->help);
  return text;
}

std::string markdown_cell(std::string_view text) {
  std::string cell;
  for (const char c : text) {
    if (c == '|') cell += '\\';
    cell += c;
  }
  return cell.empty() ? "-" : cell;
}

std::string markdown_row(const KeySpec& spec) {
  const std::string standing = spec.required ? "needed" : default_text(spec);
  return fmt::format("| `{}` | {} | {} | {} | {} |\n", spec.path, markdown_cell(value_text(spec)),
                     markdown_cell(standing), markdown_cell(allowed_text(spec)),
                     markdown_cell(spec.help));
}

// Keys of one top-level table, itself first.
std::string markdown_section(const KeySpec& top) {
  std::string text = fmt::format(
      "\n## {}\n\n{}\n\n| key | value | default | allowed | meaning |\n|---|---|---|---|---|\n",
      top.path, top.help);
  for (const KeySpec& spec : case_keys()) {
    const bool below =
        spec.path.starts_with(top.path + ".") || spec.path.starts_with(top.path + "[]");
    if (below || (spec.path == top.path && top.kind != ValueKind::table)) {
      text += markdown_row(spec);
    }
  }
  return text;
}

}  // namespace

std::string value_text(const KeySpec& spec) {
  switch (spec.kind) {
    case ValueKind::quantity:
      return fmt::format(
          "{} like \"{}\" (units: {}){}", dimension_name(spec.dimension),
          example_quantity(spec.dimension), allowed_units(spec.dimension),
          spec.words.empty() ? "" : fmt::format(", or \"{}\"", fmt::join(spec.words, "\", \"")));
    case ValueKind::number:
      return "a bare number";
    case ValueKind::integer:
      return "a whole number";
    case ValueKind::flag:
      return "true or false";
    case ValueKind::text:
      return "a text in quotes";
    case ValueKind::word:
      return fmt::format("one of \"{}\"", fmt::join(spec.words, "\", \""));
    case ValueKind::file:
      return "the path of a file, relative to the case file";
    case ValueKind::card:
      return "the name of a card, or the path of one relative to the case file";
    case ValueKind::point:
      return "[x, y] in the unit of the layout";
    case ValueKind::extent:
      return "[width, height] in the unit of the layout";
    case ValueKind::places:
      return "[[x, y]] or [[x, y], [x, y]] in the unit of the layout";
    case ValueKind::line:
      return "[[x, y], [x, y]] in the unit of the layout";
    case ValueKind::points:
      return "[[x, y], [x, y], ...] in the unit of the layout";
    case ValueKind::polygon:
      return "[[x, y], [x, y, bulge], ...] in the unit of the layout";
    case ValueKind::direction:
      return "\"x\", \"y\", \"z\", \"-x\", \"-y\", \"-z\" or [x, y, z]";
    case ValueKind::quantities:
      return fmt::format("a list, each entry {} like \"{}\" (units: {})",
                         dimension_name(spec.dimension), example_quantity(spec.dimension),
                         allowed_units(spec.dimension));
    case ValueKind::pairs:
      return fmt::format("a list of pairs [\"{}\", \"{}\"]", example_quantity(spec.dimension),
                         example_quantity(spec.second));
    case ValueKind::table:
      return "a table";
    case ValueKind::tables:
      return "a list of tables";
  }
  return {};
}

std::string default_text(const KeySpec& spec) {
  if (!spec.by_level.front().empty()) {
    std::string text;
    for (std::size_t i = 0; i < kAccuracyLevels.size(); ++i) {
      text +=
          fmt::format("{}{} ({})", i == 0 ? "" : ", ", spec.by_level.at(i), kAccuracyLevels.at(i));
    }
    return text;
  }
  if (spec.default_note.empty()) return spec.default_value;
  return spec.default_value.empty() ? spec.default_note
                                    : fmt::format("{} {}", spec.default_note, spec.default_value);
}

std::string allowed_text(const KeySpec& spec) {
  const auto bounded = [](const Range& r) { return std::isfinite(r.min) || std::isfinite(r.max); };
  const bool plain = spec.kind == ValueKind::number || spec.kind == ValueKind::integer;
  if (!bounded(spec.range)) return {};
  const std::string first =
      range_text(spec.range, plain ? std::nullopt : std::optional<Dimension>(spec.dimension));
  if (spec.kind != ValueKind::pairs || !bounded(spec.second_range)) return first;
  return fmt::format("{}; {}", first, range_text(spec.second_range, spec.second));
}

std::string explain_key(std::string_view key) {
  const std::string asked = without_brackets(key);
  const KeySpec* spec = match(asked, "");
  if (spec == nullptr) spec = match(asked, "layout.");
  if (spec == nullptr) spec = only_key_of_name(asked);
  if (spec == nullptr) throw_unknown(std::string(key));
  std::string text = fmt::format("{}: {}\n  {}", spec->path, value_text(*spec), spec->help);
  const std::string standing = default_text(*spec);
  if (!standing.empty()) text += fmt::format("\n  Default: {}.", standing);
  if (spec->required) text += "\n  Needed.";
  const std::string allowed = allowed_text(*spec);
  if (!allowed.empty()) text += fmt::format("\n  Allowed: {}.", allowed);
  const std::string below = sub_keys(*spec);
  if (!below.empty()) text += fmt::format("\n  Keys below it:{}", below);
  return text;
}

std::string key_reference_markdown() {
  std::string text =
      "# Keys of a case\n\n"
      "Written by the program from its table of keys; `firstshot explain KEY` prints one of "
      "them.\n\n"
      "A case is a TOML file. A quantity with a dimension is a text with its unit (\"220 degC\", "
      "\"1.2 mm\"); a bare\n"
      "number there is an error. Only coordinates are bare numbers, in the one unit of their "
      "layout. Paths are\n"
      "relative to the case file. Unknown keys are errors.\n\n"
      "A layout file holds the keys of the table `layout` without that word: `unit`, `[[part]]`, "
      "`[[gate]]` and so on.\n";
  for (const KeySpec* top : keys_of_table("")) text += markdown_section(*top);
  text.pop_back();  // whoever prints the page ends its last line
  return text;
}

}  // namespace firstshot
