#include "io/card_source.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr const char* for_the_others = "other";

std::string source_text(const TomlFile& file, const TomlNode& node, const std::string& key) {
  const std::string& text = text_of(file, node, key);
  if (text.find_first_not_of(" \t\n") == std::string::npos)
    throw file.error(node.place, key, "the source is empty; write where the number comes from");
  return text;
}

}  // namespace

std::vector<Material::Source> read_sources(const TomlFile& file, TableReader& table,
                                           const std::vector<std::string>& keys) {
  const TomlNode* node = table.node("source");
  if (node == nullptr)
    throw table.error("source",
                      "this key is missing, but every number of a card needs its source; a text "
                      "like \"own measurement\" is allowed");
  const std::string path = table.full_key("source");
  if (node->kind == NodeKind::string)
    return {{path.substr(0, path.rfind(".source")), source_text(file, *node, path)}};
  TableReader sources(file, *node, path);
  const TomlNode* other = sources.node(for_the_others);
  std::vector<Material::Source> result;
  for (const std::string& key : keys) {
    const TomlNode* own = sources.node(key);
    if (own == nullptr) own = other;
    if (own == nullptr)
      throw file.error(node->place, path,
                       fmt::format("no source is given for {}; name it here or add \"{}\"", key,
                                   for_the_others));
    result.push_back({table.full_key(key), source_text(file, *own, sources.full_key(key))});
  }
  sources.finish();
  return result;
}

}  // namespace firstshot
