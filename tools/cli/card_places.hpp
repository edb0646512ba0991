// Where the program looks for the cards that come with it: beside itself in the build folder
// (share/firstshot) and one level up when installed (bin/firstshot, share/firstshot).
#pragma once

#include "io/card_folders.hpp"

namespace firstshot {

/// Folders found relative to the running program. @throws Error when there are none
CardFolders program_card_folders();

}  // namespace firstshot
