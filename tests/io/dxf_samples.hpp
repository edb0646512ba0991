// Small DXF texts, entity by entity.
#pragma once

#include <initializer_list>
#include <string>
#include <utility>

namespace firstshot::test {

/// One entity: its kind, its layer, then pairs of code and value.
inline std::string dxf_entity(const std::string& kind, const std::string& layer,
                              std::initializer_list<std::pair<int, const char*>> pairs) {
  std::string text = "  0\n" + kind + "\n  8\n" + layer + "\n";
  for (const auto& [code, value] : pairs) text += std::to_string(code) + "\n" + value + "\n";
  return text;
}

inline std::string dxf_line(const std::string& layer, const std::string& x1, const std::string& y1,
                            const std::string& x2, const std::string& y2) {
  return "0\nLINE\n8\n" + layer + "\n10\n" + x1 + "\n20\n" + y1 + "\n11\n" + x2 + "\n21\n" + y2 +
         "\n";
}

/// @param unit_code of the header, 4 is mm; 0 leaves the header out
inline std::string dxf_file(const std::string& entities, const std::string& blocks = "",
                            int unit_code = 4) {
  std::string text;
  if (unit_code != 0) {
    text +=
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n" + std::to_string(unit_code) + "\n0\nENDSEC\n";
  }
  if (!blocks.empty()) text += "0\nSECTION\n2\nBLOCKS\n" + blocks + "0\nENDSEC\n";
  return text + "0\nSECTION\n2\nENTITIES\n" + entities + "0\nENDSEC\n0\nEOF\n";
}

/// A rectangle of four lines, the second drawn backwards.
inline std::string dxf_box(const std::string& layer, const std::string& x1, const std::string& y1,
                           const std::string& x2, const std::string& y2) {
  return dxf_line(layer, x1, y1, x2, y1) + dxf_line(layer, x2, y2, x2, y1) +
         dxf_line(layer, x2, y2, x1, y2) + dxf_line(layer, x1, y2, x1, y1);
}

/// A plate with a runner on each side, one gate and a sprue, on the layers PARTS, RUNNERS, ROUND,
/// GATES and SPRUE.
inline std::string small_drawing() {
  return dxf_file(
      dxf_box("PARTS", "11", "-5", "31", "5") + dxf_line("RUNNERS", "0", "0", "10", "0") +
      dxf_line("ROUND", "0", "0", "-10", "0") + dxf_line("GATES", "11", "0", "10", "0") +
      dxf_entity("CIRCLE", "Sprue", {{10, "0"}, {20, "0"}, {40, "2"}}));
}

}  // namespace firstshot::test
