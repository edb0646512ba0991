#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/card_folders.hpp"
#include "io/material_card.hpp"
#include "io/material_report.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"

namespace firstshot {
namespace {

std::filesystem::path card_file(const std::string& card, const CardFolders& folders) {
  if (is_card_path(card)) return card;
  const std::filesystem::path file = find_card(card, folders.materials);
  if (!file.empty()) return file;
  throw Error(
      fmt::format("there is no material card \"{}\"; those that come with the program are {}; a "
                  "file of your own "
                  "is given as a path with .toml at its end",
                  card, fmt::join(card_names(folders.materials), ", ")));
}

void list_cards(const CardFolders& folders, bool json) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const std::string& name : card_names(folders.materials)) {
    const Material m = read_material_card(find_card(name, folders.materials));
    list.push_back({{"name", name}, {"grade", m.grade}});
    if (!json) fmt::print("{:<16}{}\n", name, m.grade);
  }
  if (json) fmt::print("{}\n", list.dump(2));
}

}  // namespace

int material_command(const MaterialOptions& options) {
  const CardFolders folders = program_card_folders();
  if (options.card.empty()) {
    list_cards(folders, options.json);
    return exit_done;
  }
  const Material material = read_material_card(card_file(options.card, folders));
  if (options.csv)
    fmt::print("{}", material_curves_csv(material));
  else
    fmt::print("{}",
               options.json ? material_report_json(material) : material_report_text(material));
  return exit_done;
}

}  // namespace firstshot
