#include "solver/whole/channel_sizes.hpp"

#include <cmath>

namespace firstshot {

ChannelLoss channel_loss(const Material& material, double temperature, const Section& section,
                         double length, double flow, SectionFlowTable& table) {
  const SectionFlow duct(section, table);
  const double D = duct.hydraulic_diameter();
  const double apparent = 8.0 * flow / (duct.area() * D);
  constexpr double step = 1.01;
  constexpr int rounds = 6;
  ChannelLoss out;
  double rate = apparent;
  for (int k = 0; k < rounds; ++k) {
    const double a = viscosity(material.viscosity, rate, temperature, 0.0);
    const double b = viscosity(material.viscosity, rate * step, temperature, 0.0);
    out.index = 1.0 + std::log(b / a) / std::log(step);
    rate = apparent * duct.shape(out.index);
  }
  const double stress = rate * viscosity(material.viscosity, rate, temperature, 0.0);
  out.pressure = 4.0 * stress / D * length;
  return out;
}

Section resized(const Section& section, const SizeFactors& factors) {
  const double w = factors.width, d = factors.depth;
  Section s = section;
  if (auto* round = std::get_if<RoundSection>(&s)) round->diameter *= w;
  if (auto* half = std::get_if<HalfRoundSection>(&s)) half->diameter *= w;
  if (auto* trapezoid = std::get_if<TrapezoidSection>(&s)) {
    trapezoid->width *= w;
    trapezoid->depth *= d;
  }
  if (auto* box = std::get_if<RectangleSection>(&s)) {
    box->width *= w;
    box->depth *= d;
  }
  return s;
}

}  // namespace firstshot
