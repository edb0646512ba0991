#include "solver/assess/barrel.hpp"

#include <algorithm>
#include <numbers>

namespace firstshot {

double screw_area(const Press& press) {
  return std::numbers::pi / 4.0 * press.screw_diameter * press.screw_diameter;
}

BarrelFigures barrel_figures(const Press& press, const Material& material, double mass,
                             double cycle) {
  constexpr double cushion_share = 0.05, least_cushion = 3e-3, shots_along_screw = 2.0;
  BarrelFigures b;
  const double area = screw_area(press);
  b.shot_volume = mass / material.density_melt;
  const double stroke = b.shot_volume / area;
  b.cushion = std::max(cushion_share * stroke, least_cushion);
  b.dosing_stroke = stroke + b.cushion;
  b.stroke_share = stroke / press.stroke_max;
  b.recovery = mass / press.plasticising_rate;
  const double along =
      press.barrel_volume > 0.0 ? press.barrel_volume : shots_along_screw * area * press.stroke_max;
  b.content = along + b.cushion * area;
  b.residence = mass > 0.0 ? b.content / b.shot_volume * cycle : 0.0;
  return b;
}

}  // namespace firstshot
