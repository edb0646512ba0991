// What `firstshot window` asks for: two axes over keys of a case, and what varies from shot to shot
// in the shop. Text of the command line → axes; places on an axis ↔ values with their unit.
//
//   --axis "process.melt_temperature=200 degC..240 degC:5"     as in a sweep, a range
//   --vary "material.regrind=0 %..20 %"                        anything in a range, evenly
//   --vary "material.viscosity_factor=1 +- 0.05"               mean and standard deviation, a
//   normal
//                                                              spread that is cut off at three of
//                                                              them
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/case.hpp"
#include "io/sweep_plan.hpp"
#include "solver/material/material.hpp"

namespace firstshot {

/// An axis with the unit in which its numbers are shown.
class WindowAxis {
 public:
  /// @throws Error no range, or a key that has no values in between
  explicit WindowAxis(SweepAxis axis);
  const SweepAxis& range() const { return axis_; }
  const std::string& key() const { return axis_.key; }
  /// "degC"; empty for bare numbers.
  const std::string& unit() const { return unit_; }
  /// A value as written, in the unit of the axis.
  double number(const std::string& written) const;
  /// Place of a value on the axis, 0 at its start and 1 at its end.
  double share(const std::string& written) const;
  /// Value at a place, to 9 digits.
  std::string value(double share) const { return axis_value(axis_, share); }
  /// Value near a place with few digits, within a hundredth of the range.
  std::string handy_value(double share) const;
  /// Number of points of the first lattice; 0: not given.
  int points() const { return axis_.points; }
  /// Round numbers within the axis, about five [unit].
  std::vector<double> ticks() const;
  /// Place of a number [unit].
  double share_of(double number) const;

 private:
  SweepAxis axis_;
  std::string unit_;
  double low_ = 0.0, high_ = 1.0;  ///< [unit]
};

/// @param text as an axis of a sweep. @throws Error unknown key, one value or a list
WindowAxis window_axis_from(std::string_view text);
/// Melt temperature, and how fast the case fills: fill_time, injection_speed or constant_pressure.
/// A speed profile is replaced by one speed. Temperatures: 30 K both ways, as far as the card is
/// valid; times and speeds: a third to three times, pressure half to twice that of the case.
std::vector<WindowAxis> usual_axes(const Case& c, const Material& material);

/// A key that differs from shot to shot or from lot to lot.
struct VariedKey {
  SweepAxis range;         ///< of even values, or mean ± 3 deviations
  double mean = 0.0;       ///< [SI]
  double deviation = 0.0;  ///< of a normal spread [SI]; 0: even over the range
  /// Value below which a share u of the shots lies; 0 < u < 1.
  std::string value(double u) const;
  /// "1 +- 0.05", "0 % to 20 %".
  std::string spread() const;
};
/// @throws Error unknown key, no spread, a spread that leaves the range of the key
VariedKey varied_from(std::string_view text);
/// Viscosity of the lot, share of regrind, mould temperature, with assumed spreads (own judgement,
/// no source). What the window varies itself is left out.
std::vector<VariedKey> usual_variation(const Case& c);

}  // namespace firstshot
