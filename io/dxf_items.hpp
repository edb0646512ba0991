// The entities of a DXF file as written, in the coordinates of the file: top level and blocks.
// Inserts are not carried out yet. libdxflib says what the codes of an entity mean.
#pragma once

#include <map>
#include <string>
#include <variant>
#include <vector>

#include "io/dxf_text.hpp"
#include "mesh/drawn_curves.hpp"

namespace firstshot {

struct DxfPath {
  std::vector<Corner> corners;
  bool closed = false;
};
struct DxfPoint {
  Point at;
};
/// Copies of a block, in rows and columns.
struct DxfInsert {
  std::string block;
  Motion motion;  ///< of the first copy, without the base point of the block
  int columns = 1, rows = 1;
  Point column_step, row_step;
};

struct DxfItem {
  std::string layer;
  int line = 0;
  std::variant<DxfPath, EllipseArc, Spline, DxfPoint, DxfInsert> what;
};

struct DxfBlock {
  Point base;
  std::vector<DxfItem> items;
};

struct DxfItems {
  std::vector<DxfItem> top;
  std::map<std::string, DxfBlock> blocks;
};

/// @param name of the file, for errors @throws DxfError an entity that lies in no plane parallel to
/// the parting plane, a radius that is not positive, a spline without control points or with wrong
/// knots
DxfItems dxf_items(const DxfText& text, const std::string& name);

}  // namespace firstshot
