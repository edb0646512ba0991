#include "io/found_gates.hpp"

#include <algorithm>

namespace firstshot {
namespace {

constexpr double same_size = 1e-3;  // relative

std::string region_name(const Model& model, std::int32_t region) {
  return region >= 0 ? model.regions[static_cast<std::size_t>(region)].name : "";
}

/// Gates of a layout: each channel with that role, from its first element to its last.
std::vector<GateSize> drawn_gates(const Model& model) {
  std::vector<GateSize> gates;
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    const Channel& channel = model.channels[c];
    if (channel.role != Role::gate) continue;
    GateSize gate{channel.name, region_name(model, channel.feeds), {}, 0.0, 0.0, 0.0, 0.0};
    for (const LineElement& line : model.lines.span()) {
      if (line.channel != static_cast<std::int32_t>(c)) continue;
      gate.length += line.length;
      gate.width = width(line.end);
      gate.depth = depth(line.end);
      gate.at = model.position[line.to];
    }
    gates.push_back(gate);
  }
  return gates;
}

std::vector<GateSize> measured_gates(const Model& model, const SolidReport& report) {
  std::vector<GateSize> gates;
  for (const GateFound& g : report.gates)
    gates.push_back({g.name,
                     region_name(model, g.part),
                     {g.at.x, g.at.y, 0.0},
                     g.width,
                     g.depth,
                     g.length,
                     0.0});
  return gates;
}

}  // namespace

double cutter_for(double width, std::span<const double> diameters) {
  double best = 0.0;
  for (const double d : diameters)
    if (d <= width * (1.0 + same_size)) best = std::max(best, d);
  return best;
}

std::vector<GateSize> gate_sizes(const BuiltSetup& built) {
  const Model& model = built.setup.model;
  std::vector<GateSize> gates =
      built.solid ? measured_gates(model, *built.solid) : drawn_gates(model);
  for (GateSize& gate : gates) gate.cutter = cutter_for(gate.width, built.resolved.cutters);
  return gates;
}

}  // namespace firstshot
