#include "solver/heat/mould_heat.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace firstshot {

using std::numbers::pi;

double metal_resistance(const MouldMetal& metal, const MouldChannels& bores) {
  const double w = bores.pitch, ratio = 2.0 * pi * bores.depth / w;
  return w / (2.0 * pi * metal.conductivity) *
         (2.0 * ratio - std::log(2.0 * pi * bores.diameter / w * std::sinh(ratio)));
}

double bore_resistance(const MouldChannels& bores, double conductance) {
  return bores.pitch / (pi * bores.diameter * conductance);
}

HalfHeat half_heat(const MouldMetal& metal, const MouldChannels& bores, const HalfLoad& load) {
  HalfHeat half;
  half.power = load.heat / load.cycle;
  // Properties at the mean temperature of the water; its rise follows from the power at once.
  const Water in = water(bores.temperature);
  half.water_rise = half.power / (in.density * in.heat_capacity * bores.flow_rate);
  const double mean = bores.temperature + 0.5 * half.water_rise;
  half.bore = bore_flow(bores.diameter, bores.flow_rate, mean);
  const double film = bore_resistance(bores, half.bore.conductance);
  const double metal_part = metal_resistance(metal, bores);
  half.resistance = (film + metal_part) / load.area;
  half.surface = mean + half.power * half.resistance;
  half.surface_high = mean + half.power * (film / load.area +
                                           std::max(metal_part, bores.depth / metal.conductivity) /
                                               load.plastic_area);
  return half;
}

double warming_time(const Mould& mould, double length, double width, double resistance) {
  const double area = (length + 2.0 * mould.margin) * (width + 2.0 * mould.margin);
  return resistance * mould.metal.density * mould.metal.heat_capacity * area *
         mould.plate_thickness;
}

double contact_rise(const MouldMetal& metal, double melt_effusivity, double melt_minus_face) {
  const double own = std::sqrt(metal.conductivity * metal.density * metal.heat_capacity);
  return melt_minus_face * melt_effusivity / (own + melt_effusivity);
}

}  // namespace firstshot
