#include "tools/cli/card_places.hpp"

#include "mesh/error.hpp"

namespace firstshot {

CardFolders program_card_folders() {
  namespace fs = std::filesystem;
  std::error_code failed;
  const fs::path program = fs::read_symlink("/proc/self/exe", failed);
  if (failed) throw Error("the program cannot find out where it lies, so it cannot find its cards");
  CardFolders folders;
  for (const fs::path& base : {program.parent_path(), program.parent_path().parent_path()}) {
    const fs::path cards = base / "share" / "firstshot";
    if (fs::is_directory(cards / "materials", failed))
      folders.materials.push_back(cards / "materials");
    if (fs::is_directory(cards / "presses", failed)) folders.presses.push_back(cards / "presses");
  }
  if (folders.materials.empty() || folders.presses.empty())
    throw Error(
        "the cards of the program are missing: there is no folder share/firstshot with materials "
        "and presses beside " +
        program.string());
  return folders;
}

}  // namespace firstshot
