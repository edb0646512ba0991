#include <fstream>
#include <iterator>
#include <set>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "io/key_reference.hpp"
#include "mesh/error.hpp"

using namespace firstshot;

namespace {

std::string file_text(const std::string& name) {
  std::ifstream in(std::string(FIRSTSHOT_SOURCE_DIR) + "/cases/" + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

// Paths of all properties below a schema, with "[]" for lists of objects.
void collect(const nlohmann::json& root, const nlohmann::json& schema, const std::string& path,
             std::set<std::string>& found) {
  if (schema.contains("$ref")) {
    const std::string ref = schema["$ref"];
    collect(root, root.at(nlohmann::json::json_pointer(ref.substr(1))), path, found);
  }
  if (schema.contains("oneOf")) {
    for (const auto& one : schema["oneOf"]) collect(root, one, path, found);
  }
  if (schema.contains("items") && schema["items"].is_object())
    collect(root, schema["items"], path + "[]", found);
  if (!schema.contains("additionalProperties")) return;
  for (const auto& [key, value] : schema["properties"].items()) {
    const std::string below = path.empty() ? key : path + "." + key;
    found.insert(below);
    collect(root, value, below, found);
  }
}

}  // namespace

TEST_CASE("no key stands twice in the table and every key has help and a parent", "[io]") {
  std::set<std::string> paths;
  for (const KeySpec& spec : case_keys()) {
    INFO(spec.path);
    CHECK(paths.insert(spec.path).second);
    CHECK(spec.help.size() > 10);
    CHECK(spec.help.back() == '.');
    std::string parent = parent_pattern(spec.path);
    if (parent.ends_with("[]")) parent.resize(parent.size() - 2);
    CHECK((parent.empty() || paths.count(parent) == 1));
    if (spec.kind == ValueKind::word) CHECK(!spec.words.empty());
    if (!spec.words.empty())
      CHECK((spec.kind == ValueKind::word || spec.kind == ValueKind::quantity));
  }
}

TEST_CASE("every default of the table is a value that the key allows", "[io]") {
  for (const KeySpec& spec : case_keys()) {
    INFO(spec.path);
    std::vector<std::string> defaults(spec.by_level.begin(), spec.by_level.end());
    defaults.push_back(spec.default_value);
    for (const std::string& text : defaults) {
      if (text.empty()) continue;
      CHECK_FALSE(spec.required);
      if (spec.kind == ValueKind::quantity)
        CHECK(spec.range.contains(parse_quantity(text, spec.dimension)));
      if (spec.kind == ValueKind::number || spec.kind == ValueKind::integer)
        CHECK(spec.range.contains(std::stod(text)));
      if (spec.kind == ValueKind::flag) CHECK((text == "true" || text == "false"));
      if (spec.kind == ValueKind::word)
        CHECK(std::count(spec.words.begin(), spec.words.end(), text) == 1);
    }
  }
}

TEST_CASE("the groups name keys of the table", "[io]") {
  for (const KeyGroup& group : case_key_groups()) {
    for (const std::string& key : group.keys) CHECK(find_key(group.parent + "." + key) != nullptr);
  }
}

TEST_CASE("a key is explained by its path, by its last name or as it stands in a layout file",
          "[io]") {
  const std::string text = explain_key("process.melt_temperature");
  CHECK_THAT(text, Catch::Contains("220 degC") && Catch::Contains("from 50 degC to 500 degC"));
  CHECK(explain_key("melt_temperature") == text);
  CHECK(explain_key("part[2].thickness") == explain_key("layout.part[].thickness"));
  CHECK(explain_key("part.hole.circle.diameter") ==
        explain_key("layout.part[].hole[].circle.diameter"));
  CHECK_THAT(explain_key("accuracy.layers"),
             Catch::Contains("12 (preview), 20 (default), 32 (fine)"));
  CHECK_THAT(explain_key("process"), Catch::Contains("process.fill_time"));
}

TEST_CASE("an unknown key is answered with the nearest known one", "[io]") {
  CHECK_THROWS_WITH(explain_key("process.melt_temperatur"),
                    Catch::Contains("process.melt_temperature"));
  CHECK_THROWS_WITH(explain_key("fil_time"), Catch::Contains("process.fill_time"));
  CHECK_THROWS_WITH(explain_key("melt_temp"), Catch::Contains("process.melt_temperature"));
  CHECK_THROWS_AS(explain_key(""), Error);
  CHECK_THROWS_AS(explain_key(std::string(100000, 'x')), Error);
}

TEST_CASE("the reference page has a row for every key that takes a value", "[io]") {
  const std::string page = key_reference_markdown();
  for (const KeySpec& spec : case_keys()) {
    INFO(spec.path);
    if (parent_pattern(spec.path).empty()) {
      CHECK(page.find("\n## " + spec.path + "\n") != std::string::npos);
    } else {
      CHECK(page.find("| `" + spec.path + "` |") != std::string::npos);
    }
  }
}

TEST_CASE("the schema is JSON and covers exactly the keys of the table", "[io]") {
  const auto schema = nlohmann::json::parse(case_schema_json());
  std::set<std::string> found;
  collect(schema, schema, "", found);
  std::set<std::string> known;
  for (const KeySpec& spec : case_keys()) known.insert(spec.path);
  CHECK(found == known);
}

TEST_CASE("the checked-in reference page and schema are up to date", "[io]") {
  // When these fail: firstshot explain --markdown > cases/case-keys.md, explain --json >
  // cases/case.schema.json
  CHECK(file_text("case-keys.md") == key_reference_markdown() + "\n");
  CHECK(file_text("case.schema.json") == case_schema_json() + "\n");
}
