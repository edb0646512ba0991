// The closed solid of a shot as a case names it.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

#include "mesh/layout.hpp"
#include "mesh/model.hpp"

namespace firstshot {

struct SolidFile;

/// The closed solid of the shot, as read from its file.
struct CaseSolid {
  std::filesystem::path file;
  std::shared_ptr<const SolidFile> read;  ///< never null
  std::optional<Point3> draw;             ///< in the axes of the file, of any length
  double undercut_tolerance = 0.0;        ///< [m]
  double tessellation = 0.0;              ///< [m]
  std::vector<PartMark> parts;
  std::optional<Point> injection;   ///< [m]
  double injection_diameter = 0.0;  ///< [m]; 0: twice the thickness there
  double injection_width = 0.0;     ///< [m]; 0: none
  // The coordinates as written, in the unit of the file.
  std::vector<Point> parts_written;
  std::optional<Point> injection_written;
};

}  // namespace firstshot
