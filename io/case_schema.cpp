// Table of keys → JSON Schema (draft 2020-12), so that an editor completes and checks a case while
// it is typed.
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/key_reference.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

std::string escaped(std::string_view symbol) {
  std::string text;
  for (const char c : symbol) {
    if (c == '(' || c == ')' || c == '/') text += '\\';
    text += c;
  }
  return text;
}

Json quantity_schema(Dimension dim) {
  std::string units;
  for (const std::string& symbol : unit_symbols(dim)) {
    units += fmt::format("{}{}", units.empty() ? "" : "|", escaped(symbol));
  }
  return {{"type", "string"},
          {"pattern",
           fmt::format("^\\s*[-+]?([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][-+]?[0-9]+)?\\s*({})\\s*$",
                       units)}};
}

Json list_schema(Json item, int least, int most) {
  Json schema = {{"type", "array"}, {"items", std::move(item)}, {"minItems", least}};
  if (most > 0) schema["maxItems"] = most;
  return schema;
}

Json number_schema(const char* type, const Range& range) {
  Json schema = {{"type", type}};
  if (std::isfinite(range.min)) schema[range.min_open ? "exclusiveMinimum" : "minimum"] = range.min;
  if (std::isfinite(range.max)) schema[range.max_open ? "exclusiveMaximum" : "maximum"] = range.max;
  return schema;
}

Json table_schema(const std::string& pattern);

Json value_schema(const KeySpec& spec) {
  const Json number = {{"type", "number"}};
  const Json point = list_schema(number, 2, 2);
  switch (spec.kind) {
    case ValueKind::quantity:
      if (!spec.words.empty())
        return {{"anyOf", {quantity_schema(spec.dimension), {{"enum", spec.words}}}}};
      return quantity_schema(spec.dimension);
    case ValueKind::number:
      return number_schema("number", spec.range);
    case ValueKind::integer:
      return number_schema("integer", spec.range);
    case ValueKind::flag:
      return {{"type", "boolean"}};
    case ValueKind::text:
    case ValueKind::file:
    case ValueKind::card:
      return {{"type", "string"}, {"minLength", 1}};
    case ValueKind::word:
      return {{"enum", spec.words}};
    case ValueKind::point:
      return point;
    case ValueKind::extent:
      return list_schema({{"type", "number"}, {"exclusiveMinimum", 0}}, 2, 2);
    case ValueKind::places:
      return list_schema(point, 1, 2);
    case ValueKind::line:
      return list_schema(point, 2, 2);
    case ValueKind::points:
      return list_schema(point, 2, 0);
    case ValueKind::polygon:
      return list_schema(list_schema(number, 2, 3), 2, 0);
    case ValueKind::direction:
      return {
          {"oneOf", {{{"enum", {"x", "y", "z", "-x", "-y", "-z"}}}, list_schema(number, 3, 3)}}};
    case ValueKind::quantities:
      return list_schema(quantity_schema(spec.dimension), 1, 0);
    case ValueKind::pairs: {
      Json pair = list_schema(false, 2, 2);
      pair["prefixItems"] = {quantity_schema(spec.dimension), quantity_schema(spec.second)};
      return list_schema(std::move(pair), 1, 0);
    }
    case ValueKind::table:
      return table_schema(spec.path);
    case ValueKind::tables:
      return list_schema(table_schema(spec.path + "[]"), 0, 0);
  }
  return {};
}

std::string description(const KeySpec& spec) {
  std::string text = spec.help;
  const std::string standing = default_text(spec);
  if (!standing.empty()) text += fmt::format(" Default: {}.", standing);
  const std::string allowed = allowed_text(spec);
  if (!allowed.empty()) text += fmt::format(" Allowed: {}.", allowed);
  return text;
}

Json described(const KeySpec& spec) {
  if (spec.path == "layout") return {{"description", spec.help}, {"$ref", "#/$defs/layout"}};
  Json schema = {{"description", description(spec)}};
  const bool also_table = spec.kind == ValueKind::quantity && !keys_of_table(spec.path).empty();
  if (also_table) {
    schema["oneOf"] = {value_schema(spec), table_schema(spec.path)};
  } else {
    schema.update(value_schema(spec));
  }
  return schema;
}

// Exactly one, or at most one, of some keys.
Json group_schema(const KeyGroup& group) {
  Json choices = Json::array();
  Json any = Json::array();
  for (const std::string& key : group.keys) any.push_back({{"required", {key}}});
  for (const Json& choice : any) choices.push_back(choice);
  if (!group.required) choices.push_back({{"not", {{"anyOf", any}}}});
  return {{"oneOf", choices}};
}

Json table_schema(const std::string& pattern) {
  Json schema = {
      {"type", "object"}, {"additionalProperties", false}, {"properties", Json::object()}};
  Json required = Json::array();
  for (const KeySpec* spec : keys_of_table(pattern)) {
    schema["properties"][last_name(spec->path)] = described(*spec);
    if (spec->required) required.push_back(last_name(spec->path));
  }
  if (!required.empty()) schema["required"] = required;
  for (const KeyGroup& group : case_key_groups()) {
    if (group.parent == pattern) schema["allOf"].push_back(group_schema(group));
  }
  return schema;
}

}  // namespace

std::string case_schema_json() {
  Json schema = {
      {"$schema", "https://json-schema.org/draft/2020-12/schema"},
      {"title", "firstshot case"},
      {"description",
       "Written by the program from its table of keys. A layout file follows #/$defs/layout."}};
  schema.update(table_schema(""));
  const Json layout_here = {{"required", {"layout"}}};
  schema["oneOf"] = {{{"required", {"layout"}}}};
  for (const char* key : {"layout", "solid"}) {
    schema["oneOf"].push_back(
        {{"required", {"geometry"}}, {"properties", {{"geometry", {{"required", {key}}}}}}});
  }
  schema["$defs"]["layout"] = table_schema("layout");
  return schema.dump(2);
}

}  // namespace firstshot
