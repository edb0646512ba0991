// Rectangles that stand for sections of any shape: the one with the same drag, and the slab that
// cools like it.
#pragma once

#include <array>

namespace firstshot {

/// Depth over width of the rectangular duct with mean factor F in (0, 1] [-]: the inverse of the
/// series for rectangles [ShahLondon1978], within 1 %.
double rectangle_of_factor(double factor);

/// The slab that cools like a rectangular section.
struct CoolingSlab {
  double gap = 1.0;      ///< over the rectangle's depth [-]
  double contact = 1.0;  ///< its contact with the mould over that of the rectangle [-], ≥ 1
};

/// Gap: its centre is cool when that of the rectangle is, whose excess is the product of two slabs'
/// [CarslawJaeger1959]. Contact: a resistance 1/h between melt and mould is worth k/h more of melt
/// on every side, which slows the slowest way π² Σ 1/a² of a rectangle down by 4 π² k/h Σ 1/a³
/// (sides a), that of a slab by 4 π² k/h / gap³; the slab's contact makes both shares of it alike.
/// Times with contact are within 1.2 % of the product of two slabs from a Biot number of the half
/// depth of 5 on (from 10 on 0.7 %).
/// @param ratio depth over width of the rectangle, 0 ≤ ratio ≤ 1
CoolingSlab slab_of_rectangle(double ratio);

/// slab_of_rectangle for any ratio > 0, tabulated.
class CoolingSlabs {
 public:
  CoolingSlabs();
  CoolingSlab operator()(double ratio) const;

 private:
  static constexpr int steps = 50;
  std::array<CoolingSlab, steps + 1> slab_{};
};

/// Depth over width of the rectangle [-] from the mean of F across it weighted by F³.
class RectangleOfMiddle {
 public:
  RectangleOfMiddle();
  double operator()(double mean) const;

 private:
  static constexpr int steps = 400;
  static double ratio(double step);
  std::array<double, steps + 1> mean_{};
};

}  // namespace firstshot
