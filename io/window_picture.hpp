// The map of a process window as a sheet: which settings give good shots, where each other kind
// begins, every run as a mark, the best setting with its way to the edges.
//
// Seven colours of our own for the seven classes: lightness falls in equal steps of 0.1 (in the
// OKLab space of CSS) from "fills" on, so that they can be told apart in grey print and with
// colour-blind eyes; the words stand beside them.
#pragma once

#include <filesystem>
#include <string>

#include "io/window_record.hpp"

namespace firstshot {

/// "#dff6e2".
std::string shot_class_colour(ShotClass kind);

/// Writes stem.png and stem.pdf. @throws Error when a file cannot be written
void write_window_picture(const WindowRecord& record, const std::filesystem::path& stem);

}  // namespace firstshot
