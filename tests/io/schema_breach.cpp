#include "tests/io/schema_breach.hpp"

#include <algorithm>

#include <nlohmann/json.hpp>

namespace firstshot::test {
namespace {

using nlohmann::json;

bool is_type(const json& value, const std::string& type) {
  if (type == "integer") return value.is_number_integer();
  return type == value.type_name();
}
bool has_type(const json& value, const json& type) {
  if (type.is_string()) return is_type(value, type.get<std::string>());
  return std::any_of(type.begin(), type.end(),
                     [&](const json& t) { return is_type(value, t.get<std::string>()); });
}

std::string breach(const json& value, const json& schema, const std::string& at = "") {
  if (schema.contains("const") && value != schema["const"]) return at + ": other value";
  if (schema.contains("enum") && !std::count(schema["enum"].begin(), schema["enum"].end(), value))
    return at + ": not in the list";
  if (schema.contains("type") && !has_type(value, schema["type"])) return at + ": type";
  if (schema.contains("minimum") && value.is_number() && value < schema["minimum"])
    return at + ": too small";
  if (value.is_object()) {
    for (const json& key : schema["required"])
      if (!value.contains(key.get<std::string>()))
        return at + "/" + key.get<std::string>() + ": missing";
    for (const auto& [key, inner] : value.items()) {
      if (!schema["properties"].contains(key)) return at + "/" + key + ": unknown";
      const std::string found = breach(inner, schema["properties"][key], at + "/" + key);
      if (!found.empty()) return found;
    }
  }
  if (value.is_array())
    for (const json& entry : value) {
      const std::string found = breach(entry, schema["items"], at + "[]");
      if (!found.empty()) return found;
    }
  return {};
}

}  // namespace

std::string schema_breach(const std::string& value, const std::string& schema) {
  return breach(json::parse(value), json::parse(schema));
}

}  // namespace firstshot::test
