// Tables of `result.h5` about where fronts met and where air was caught: written and read back,
// field by field as in cases/result-format.md.
#pragma once

#include <vector>

#include "io/h5_file.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

// Each throws Error when the file is damaged there or the disk is full.
void write_weld_lines(H5File& file, const std::vector<WeldLine>& lines);
void write_air_pockets(H5File& file, const std::vector<AirPocketResult>& pockets);
void write_scorch(H5File& file, const std::vector<ShutOffStretch>& stretches);

std::vector<WeldLine> read_weld_lines(const H5File& file);
/// A file of an earlier version has no such table: then none.
std::vector<AirPocketResult> read_air_pockets(const H5File& file);
std::vector<ShutOffStretch> read_scorch(const H5File& file);

}  // namespace firstshot
