#include "io/balance_layout.hpp"

namespace firstshot {

void need_drawn_channels(const Case& c) {
  if (c.solid)
    throw Error(
        "the case is a solid, whose runners and gates are in its CAD file; sizes can be changed "
        "and gates added in a layout or a drawing");
}

Case resized_case(const Case& c, const Model& model, const std::vector<SizeFactors>& factors) {
  need_drawn_channels(c);
  Case out = c;
  for (std::size_t k = 0; k < model.channels.size(); ++k) {
    const SizeFactors& f = factors[k];
    for (RunnerLine& runner : out.layout.runners)
      if (runner.name == model.channels[k].name) {
        runner.start = resized(runner.start, f);
        runner.end = resized(runner.end, f);
      }
    for (GateLine& gate : out.layout.gates)
      if (gate.name == model.channels[k].name) {
        gate.width *= f.width;
        gate.depth *= f.depth;
      }
  }
  return out;
}

Case vented_case(const Case& c, const VentProposal& vent) {
  Case out = c;
  const double back = 1.0 / cavity_scale(c);
  out.layout.vents.push_back(
      {{{back * vent.at.x, back * vent.at.y}}, vent.width, vent.depth, vent.land, ""});
  return out;
}

}  // namespace firstshot
