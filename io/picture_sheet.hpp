// Sheets with a picture of the frame, drawn without a display: what the frame looks like (Frame),
// what is shown on it (Shown), and the drawing itself onto a PNG or a PDF of A4 across.
//
// Colours are linear between the corners of each triangle; on the PDF they are one image of 300 dpi
// under outlines and text that stay lines and letters.
#pragma once

#include <array>
#include <filesystem>
#include <limits>
#include <string>
#include <vector>

#include "io/report_fields.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// Triangles over the parting plane, channels as two triangles each.
struct DrawnFrame {
  struct Corner {
    Point at;              ///< [m]
    std::size_t node = 0;  ///< whose value it has
  };
  std::vector<std::array<Corner, 3>> triangles;  ///< those of the mesh, then those of channels
  std::vector<std::array<Point, 2>> outlines;    ///< rims of regions [m]
};

/// A mark on the picture: air that stayed (disc), got out (ring), may scorch (triangle).
struct PictureMark {
  enum class Kind { stayed, got_out, scorch } kind = Kind::stayed;
  Point at;  ///< [m]
};
/// A line on the picture; meld lines are dashed.
struct PictureLine {
  std::vector<Point> points;  ///< [m]
  bool meld = false;
};

struct DrawnField {
  ShownField shown;
  std::vector<double> per_node;      ///< in the shown unit; NaN: none
  std::vector<double> per_triangle;  ///< instead, one for each triangle of the mesh
  double line_every = 0.0;           ///< lines of equal value [shown unit], 0: none
  std::vector<PictureLine> lines;
  std::vector<PictureMark> marks;
};

struct SheetText {
  std::string title, subtitle, footer;
};

/// Writes the sheet twice: stem.png and stem.pdf.
/// @throws Error when a file cannot be written
void write_sheet(const std::filesystem::path& stem, const DrawnFrame& frame,
                 const DrawnField& field, const SheetText& text);

}  // namespace firstshot
