// The page of a process window: one file with the map, the best setting with its edges, and every
// run; no network, no script, prints on A4.
#pragma once

#include <span>
#include <string>

#include "io/window_record.hpp"

namespace firstshot {

/// @param png the picture of window_picture, bytes of the file @param version of the program
std::string window_html(const WindowRecord& record, std::span<const unsigned char> png,
                        const std::string& version);

}  // namespace firstshot
