#include "io/card_folders.hpp"

#include <set>
#include <system_error>

namespace firstshot {

namespace fs = std::filesystem;

bool is_card_path(const std::string& card) {
  return card.find('/') != std::string::npos || card.ends_with(".toml");
}

fs::path find_card(const std::string& name, const std::vector<fs::path>& folders) {
  std::error_code ec;
  for (const fs::path& folder : folders) {
    const fs::path file = folder / (name + ".toml");
    if (fs::is_regular_file(file, ec)) return file;
  }
  return {};
}

std::vector<std::string> card_names(const std::vector<fs::path>& folders) {
  std::set<std::string> names;
  for (const fs::path& folder : folders) {
    std::error_code ec;
    for (fs::directory_iterator it(folder, ec), end; !ec && it != end; it.increment(ec)) {
      if (it->path().extension() == ".toml") names.insert(it->path().stem().string());
    }
  }
  return {names.begin(), names.end()};
}

}  // namespace firstshot
