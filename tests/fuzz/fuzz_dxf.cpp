// Any bytes as a drawing. Allowed: our Error, or a layout whose parts have names and whose numbers
// are finite. The layers found take the roles in turn.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <string>

#include "io/dxf_reader.hpp"
#include "mesh/drawing_layout.hpp"
#include "mesh/outline.hpp"

namespace {

using namespace firstshot;

LayerMeaning meaning_of(std::size_t layer) {
  switch (layer % 7) {
    case 0:
      return AreaLayer{Role::part, 1.2e-3, true};
    case 1:
      return HoleLayer{};
    case 2:
      return RunnerLayer{RoundSection{4e-3}, RoundSection{3e-3}};
    case 3:
      return GateLayer{1e-3, 0.6e-3};
    case 4:
      return SprueLayer{30e-3, 3e-3, 5e-3};
    case 5:
      return StepLayer{2e-3};
    default:
      return IgnoredLayer{};
  }
}

void require(bool holds, const char* what) {
  if (holds) return;
  std::cerr << "not so: " << what << "\n";
  std::abort();
}

bool finite(Point p) { return std::isfinite(p.x) && std::isfinite(p.y); }

void check(const Layout& layout) {
  require(!layout.areas.empty(), "there is a part");
  for (const Area& area : layout.areas) {
    require(!area.name.empty(), "each area has a name");
    for (const Point p : closed_line(area.outline, {0.02e-3, 10.0}).points)
      require(finite(p), "outlines are finite");
  }
  for (const RunnerLine& runner : layout.runners) {
    require(runner.points.size() > 1, "a runner has two points");
    for (const Point p : runner.points) require(finite(p), "runners are finite");
  }
  for (const GateLine& gate : layout.gates)
    require(finite(gate.from) && finite(gate.to), "gates are finite");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  try {
    const DxfDrawing read = read_dxf_text(text, "frame.dxf", "mm");
    DrawingRules rules;
    for (const std::string& layer : read.layers)
      rules.layers.push_back({layer, meaning_of(rules.layers.size()), ""});
    rules.injection = Point{};
    check(layout_of(read.drawing, rules).layout);
  } catch (const Error&) {
    return 0;
  }
  return 0;
}
