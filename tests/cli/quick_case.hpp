// A case for many whole runs.
#pragma once

#include <string>

namespace firstshot::test {

/// A strip that takes a few hundredths of a second, and no holding.
inline std::string quick_case() {
  return R"(title = "Strip"
[layout]
unit = "mm"
[[layout.part]]
name = "strip"
thickness = "1.5 mm"
polygon = [[0, -5], [40, -5], [40, 5], [0, 5]]
[injection]
at = [0, 0]
width = "10 mm"
[material]
card = "hips-8"
[press]
card = "press-60t"
[process]
fill_time = "0.5 s"
[accuracy]
level = "preview"
element_size = "4 mm"
layers = 4
volume_steps = 10
)";
}

}  // namespace firstshot::test
