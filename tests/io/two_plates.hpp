// Two plates of different size, one on each side of a sprue, as the table [layout] of a case.
#pragma once

#include <string>

namespace firstshot::test {

/// @param of_small further lines of the small plate
inline std::string two_plates_layout(const std::string& of_small = "") {
  return R"([layout]
unit = "mm"
sprue = { at = [0, 0], length = "20 mm", nozzle_diameter = "3 mm", foot_diameter = "4 mm" }
[[layout.runner]]
name = "left"
points = [[0, 0], [-10, 0]]
section = { kind = "round", diameter = "4 mm" }
[[layout.runner]]
name = "right"
points = [[0, 0], [10, 0]]
section = { kind = "round", diameter = "4 mm" }
[[layout.part]]
name = "large"
thickness = "1.5 mm"
polygon = [[-11, -8], [-11, 8], [-41, 8], [-41, -8]]
[[layout.part]]
name = "small"
)" + of_small +
         R"(thickness = "1.5 mm"
polygon = [[11, -8], [31, -8], [31, 8], [11, 8]]
[[layout.gate]]
name = "g-large"
from = [-10, 0]
to = [-11, 0]
width = "1.2 mm"
depth = "0.8 mm"
[[layout.gate]]
name = "g-small"
from = [10, 0]
to = [11, 0]
width = "1.2 mm"
depth = "0.8 mm"
)";
}

}  // namespace firstshot::test
