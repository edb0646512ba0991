// Where the shape of the shot comes from: a layout in the case, a layout file, a drawing.
#pragma once

#include <string>
#include <vector>

#include "io/case_table.hpp"
#include "mesh/layout.hpp"

namespace firstshot {

struct CaseGeometry {
  Layout layout;
  std::string unit;                ///< of its coordinates
  std::vector<std::string> notes;  ///< what was repaired or left out
};

/// @throws CaseError unless exactly one geometry is given, and keys only of that one
void require_one_geometry(const CaseTable& root);

/// The layout or drawing of the case. @param root of the case @throws CaseError, DxfError,
/// GeometryError
CaseGeometry read_geometry(const CaseTable& root);

/// The drawing that geometry.dxf names, read as the tables [[layer]] and [[part]] say.
CaseGeometry read_drawing(const CaseTable& root);

}  // namespace firstshot
