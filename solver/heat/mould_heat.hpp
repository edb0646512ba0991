// One mould half between the moulding face and a row of bores: mean over the cycle of its surface
// temperature.
//
//   T_surface = T_in + Δ/2 + q (R_bore + R_metal),  q = heat per shot / (cycle time · area)
//   R_bore  = w / (π D h)                       per area of the face [m² K/W]
//   R_metal = w/(2πk) (4π z/w - ln((2πD/w) sinh(2π z/w)))
//
// D, w, z: diameter, pitch, depth of the bores; Δ: warming of the water on its way. R_metal is the
// mean over a face that takes heat evenly: a row of line sinks and its image, exact for bores small
// against pitch and depth (method of images, derived here; [CarslawJaeger1959] ch. 16). All heat of
// the shot goes into the water; what platens and air take is left out, so the face comes out rather
// too warm. Heat counts as spread over the rectangle around the frame; straight below the plastic
// it is somewhat warmer (`surface_high`, no spreading at all).
#pragma once

#include "solver/heat/coolant.hpp"
#include "solver/material/mould.hpp"

namespace firstshot {

/// Resistance of the metal between face and bores per area of the face [m² K/W].
double metal_resistance(const MouldMetal& metal, const MouldChannels& bores);
/// Resistance between bores and water per area of the face [m² K/W].
double bore_resistance(const MouldChannels& bores, double conductance);

struct HalfHeat {
  double surface = 0.0;       ///< mean over the cycle [K]
  double surface_high = 0.0;  ///< bound without spreading in the metal [K]
  double power = 0.0;         ///< mean heat flow into the water [W]
  double water_rise = 0.0;    ///< on its way through all bores [K]
  BoreFlow bore;
  double resistance = 0.0;  ///< face to water, over the whole area [K/W]
};

/// What one half has to carry away.
struct HalfLoad {
  double heat = 0.0;          ///< per shot [J]
  double cycle = 1.0;         ///< [s] > 0
  double area = 0.0;          ///< rectangle around the frame [m²] > 0
  double plastic_area = 0.0;  ///< of the frame seen along the draw [m²] > 0
};

HalfHeat half_heat(const MouldMetal& metal, const MouldChannels& bores, const HalfLoad& load);

/// Time in which a half covers 63 % of the way to its steady temperature: its plate at one
/// temperature, emptied through half.resistance [s].
double warming_time(const Mould& mould, double length, double width, double resistance);

/// Rise of the moulding face when melt touches it, two half-spaces: (T - T_face) of contact [K].
double contact_rise(const MouldMetal& metal, double melt_effusivity, double melt_minus_face);

}  // namespace firstshot
