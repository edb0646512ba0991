// Where the cards that come with the program lie. The program decides on the folders; this finds
// the files.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace firstshot {

/// Folders with cards, searched in order.
struct CardFolders {
  std::vector<std::filesystem::path> materials;
  std::vector<std::filesystem::path> presses;
};

/// A card written with a slash or with ".toml" at its end is a file of the user, otherwise a name.
bool is_card_path(const std::string& card);

/// File "name.toml" in the first folder that has it, an empty path when none has.
std::filesystem::path find_card(const std::string& name,
                                const std::vector<std::filesystem::path>& folders);

/// Names of all cards in the folders, sorted, each once.
std::vector<std::string> card_names(const std::vector<std::filesystem::path>& folders);

}  // namespace firstshot
