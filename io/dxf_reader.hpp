// DXF drawings in text form: lines, arcs, circles, ellipses, polylines with bulges, splines, points
// and inserts of blocks (moved, turned, scaled, mirrored, nested, in rows and columns). Arcs stay
// arcs; splines and what an uneven scale makes of arcs become straight sides within 0.01 mm.
// Everything else (text, dimensions, hatches) draws no outline and is counted only.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "io/dxf_text.hpp"
#include "mesh/drawing.hpp"

namespace firstshot {

struct DxfDrawing {
  Drawing drawing;                  ///< layers as first spelled in the file
  std::vector<std::string> layers;  ///< those that hold something, in the order of the file
  std::string unit;                 ///< taken for the coordinates
  std::vector<std::string> notes;   ///< what was left out, in sentences
};

/// @param name shown in errors and origins, "frame.dxf" @param unit of the coordinates, empty: that
/// of the header
/// @throws DxfError see io/dxf_text and io/dxf_items; nothing drawn, no unit known, a block that is
/// missing or contains itself, coordinates beyond any mould
DxfDrawing read_dxf_text(std::string_view text, const std::string& name, const std::string& unit);
DxfDrawing read_dxf(const std::filesystem::path& file, const std::string& unit);

/// Whether two names mean the same layer: capital letters make no difference in a drawing.
bool same_layer(std::string_view a, std::string_view b);

}  // namespace firstshot
