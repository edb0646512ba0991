// The tables [[layer]] and the drawing they speak of → a layout.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "io/case.hpp"
#include "io/case_geometry.hpp"
#include "io/dxf_reader.hpp"
#include "mesh/drawing_layout.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

// Measures that a role needs and those that it may have.
struct RoleKeys {
  std::vector<std::string> needed;
  std::vector<std::string> allowed;
};

RoleKeys keys_of(const std::string& role, const CaseTable& table) {
  const bool is_area = table.has("thickness");
  if (role == "part") return {{"thickness"}, {"visible"}};
  if (role == "step") return {{"thickness"}, {}};
  if (role == "runner") return is_area ? RoleKeys{{"thickness"}, {}} : RoleKeys{{"section"}, {}};
  if (role == "gate")
    return is_area ? RoleKeys{{"thickness"}, {}} : RoleKeys{{"width", "depth"}, {}};
  if (role == "sprue") return {{"length", "nozzle_diameter"}, {"foot_diameter"}};
  return {};
}

void check_measures(const CaseTable& table, const std::string& role) {
  const RoleKeys keys = keys_of(role, table);
  const auto holds = [](const std::vector<std::string>& list, const std::string& key) {
    return std::find(list.begin(), list.end(), key) != list.end();
  };
  for (const KeySpec* spec : keys_of_table("layer[]")) {
    const std::string key = last_name(spec->path);
    if (key == "name" || key == "role") continue;
    if (holds(keys.needed, key) && !table.has(key)) {
      throw table.error(key, fmt::format("a layer of role \"{}\" needs {}", role,
                                         fmt::join(keys.needed, " and ")));
    }
    if (table.has(key) && !holds(keys.needed, key) && !holds(keys.allowed, key)) {
      throw table.error(
          key,
          fmt::format("has no meaning for a layer of role \"{}\" here; it takes {}", role,
                      keys.needed.empty() ? "no measures"
                                          : fmt::format("{}", fmt::join(keys.needed, " and "))));
    }
  }
}

LayerMeaning meaning_of(const CaseTable& table) {
  const std::string role = table.word("role");
  check_measures(table, role);
  if (role == "part")
    return AreaLayer{Role::part, table.quantity("thickness"), table.flag("visible")};
  if (role == "hole") return HoleLayer{};
  if (role == "step") return StepLayer{table.quantity("thickness")};
  if (role == "sprue") {
    return SprueLayer{table.quantity("length"), table.quantity("nozzle_diameter"),
                      table.quantity_if("foot_diameter")};
  }
  if (role == "ignore") return IgnoredLayer{};
  if (table.has("thickness")) {
    return AreaLayer{role == "gate" ? Role::gate : Role::runner, table.quantity("thickness"),
                     false};
  }
  if (role == "gate") return GateLayer{table.quantity("width"), table.quantity("depth")};
  const auto [start, end] = read_section(table.table("section"));
  return RunnerLayer{start, end};
}

std::vector<LayerRule> read_layers(const CaseTable& root) {
  std::vector<LayerRule> rules;
  for (const CaseTable& table : root.tables("layer")) {
    const std::string name = table.text("name");
    for (const LayerRule& other : rules) {
      if (same_layer(other.name, name))
        throw table.error("name",
                          fmt::format("the layer \"{}\" stands already at {}", name, other.origin));
    }
    rules.push_back({name, meaning_of(table), table.origin()});
  }
  return rules;
}

// Gives each layer of the drawing its rule, spelled as in the drawing.
std::vector<LayerRule> matched(std::vector<LayerRule> rules, const std::vector<std::string>& layers,
                               const CaseTable& root) {
  std::vector<std::string> unknown;
  for (const std::string& layer : layers) {
    const auto it = std::find_if(rules.begin(), rules.end(), [&](const LayerRule& rule) {
      return same_layer(rule.name, layer);
    });
    if (it == rules.end()) {
      unknown.push_back(layer);
    } else {
      it->name = layer;
    }
  }
  if (!unknown.empty()) {
    throw root.error("layer",
                     fmt::format("the drawing has layers without a [[layer]] entry: {}; give "
                                 "each a role, \"ignore\" for those that are no part of "
                                 "the frame. All layers of the drawing: {}",
                                 fmt::join(unknown, ", "), fmt::join(layers, ", ")));
  }
  const std::vector<CaseTable> tables = root.tables("layer");
  for (std::size_t i = 0; i < rules.size(); ++i) {
    if (std::find(layers.begin(), layers.end(), rules[i].name) != layers.end()) continue;
    throw tables[i].error(
        "name", fmt::format("the drawing has nothing on a layer \"{}\"; its layers are: {}",
                            rules[i].name, fmt::join(layers, ", ")));
  }
  return rules;
}

DxfDrawing open_drawing(const CaseTable& geometry) {
  const fs::path path =
      (geometry.file().directory() / fs::path(geometry.text("dxf"))).lexically_normal();
  std::error_code error;
  if (!fs::is_regular_file(path, error)) {
    throw geometry.error("dxf", fmt::format("there is no such file ({})", path.string()));
  }
  return read_dxf(path, geometry.has("unit") ? geometry.word("unit") : "");
}

}  // namespace

CaseGeometry read_drawing(const CaseTable& root) {
  const CaseTable geometry = root.table("geometry");
  DrawingRules rules;
  rules.layers = read_layers(root);
  rules.gap = geometry.quantity("gap");
  DxfDrawing read = open_drawing(geometry);
  rules.layers = matched(std::move(rules.layers), read.layers, root);
  rules.marks = read_part_marks(root, read.unit);
  const CaseTable injection = root.table("injection");
  if (injection.has("at")) rules.injection = injection.point("at", read.unit);
  DrawnLayout drawn = layout_of(read.drawing, rules);
  std::vector<std::string> notes = std::move(read.notes);
  notes.insert(notes.end(), drawn.notes.begin(), drawn.notes.end());
  return {std::move(drawn.layout), read.unit, std::move(notes)};
}

}  // namespace firstshot
