// Pictures of the fields for e-mail and paper, made without a display: `firstshot report
// --pictures`.
//
// One sheet per field as PNG and PDF: front, pressure (at the kept step where it is highest at the
// injection point), temperature, solid share and shear rate there as well, what holding left
// behind, walls, and one with weld lines and caught air.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace firstshot {

/// @param place a results folder or a result.h5 @param folder made when it is not there
/// @param version of the program, for the foot of each sheet
/// @return the files, in the order in which they were written
/// @throws Error when the result is damaged or has no kept step, or a file cannot be written
std::vector<std::filesystem::path> write_pictures(const std::filesystem::path& place,
                                                  const std::filesystem::path& folder,
                                                  const std::string& version);

}  // namespace firstshot
