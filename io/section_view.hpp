// What `check` leaves for the eye: the model before anything flows, opening in a general viewer of
// VTK files by one click on section.pvd.
//   section/walls.vtu      triangles with "thickness [mm]", "part id", "role id" (0 part, 1 runner,
//                          2 gate); of a solid also "lower surface [mm]" and "upper surface [mm]"
//                          at points, and the points lie on the middle of the wall
//   section/channels.vtp   channels given as lines; only when there are any
//   section/findings.vtp   a point for each gate and undercut: "kind id" (0 gate, 1 undercut),
//   "width
//                          [mm]", "depth [mm]", "length [mm]", "cutter [mm]", and its name in
//                          "finding names" (field data)
// Coordinates are those of the model in the unit of the input.
#pragma once

#include <filesystem>
#include <string>

#include "io/build_setup.hpp"

namespace firstshot {

std::string walls_vtu(const Model& model, double unit_length);
std::string findings_vtp(const BuiltSetup& built, double unit_length);

/// Writes the files into the folder, which must exist. @throws Error a file cannot be written
void write_section_view(const BuiltSetup& built, const std::filesystem::path& folder);

}  // namespace firstshot
