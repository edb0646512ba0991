// Rectangles that stand for sections of any shape: the one with the same drag, and the slab that
// cools like it.
#pragma once

#include <array>

namespace firstshot {

/// Depth over width of the rectangular duct with mean factor F in (0, 1] [-]: the inverse of the
/// series for rectangles [ShahLondon1978], within 1 %.
double rectangle_of_factor(double factor);

/// Gap of the slab whose centre is cool when that of a rectangle is, whose excess is the product of
/// two slabs' [CarslawJaeger1959], less half of the lag of its centre for the contact with the
/// mould; over the rectangle's depth [-], for a depth of `ratio` ≤ 1 times its width.
double slab_of_rectangle(double ratio);

/// slab_of_rectangle for any ratio > 0, tabulated.
class CoolingGap {
 public:
  CoolingGap();
  double operator()(double ratio) const;

 private:
  static constexpr int steps = 50;
  std::array<double, steps + 1> gap_{};
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
