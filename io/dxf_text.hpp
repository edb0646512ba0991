// The text of a DXF file as checked entities. A DXF file is a row of pairs of lines, a code and a
// value; this takes the pairs apart, refuses what is broken with its line, and keeps the entities
// that draw lines. What remains is safe to hand to the library that knows what the codes mean.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "mesh/error.hpp"

namespace firstshot {

/// A file that cannot be read; what() starts with "frame.dxf:12: " where the line is known.
class DxfError : public Error {
 public:
  DxfError(const std::string& file, int line, const std::string& what);
};

struct DxfPair {
  int code = 0;
  std::string_view value;  ///< without blanks around it
  int line = 0;            ///< of the value, from 1
};

/// BLOCK, ENDBLK or an entity that draws: LINE, ARC, CIRCLE, ELLIPSE, POINT, LWPOLYLINE, POLYLINE,
/// VERTEX, SEQEND, SPLINE, INSERT.
struct DxfEntity {
  std::string_view kind;
  int line = 0;
  std::vector<DxfPair> pairs;  ///< those that matter for the shape, numbers finite
};

struct DxfText {
  int unit_code = 0;                   ///< $INSUNITS of the header, 0 = not said
  std::vector<DxfEntity> blocks;       ///< of the section BLOCKS
  std::vector<DxfEntity> entities;     ///< of the section ENTITIES, paper space left out
  std::map<std::string, int> skipped;  ///< kinds of entities that draw no line of ours, with number
};

/// @param name shown in errors @param text must outlive the result
/// @throws DxfError a binary file, no DXF, cut off, a number that is none or not finite, no section
/// of entities
DxfText dxf_text(std::string_view text, const std::string& name);

}  // namespace firstshot
