// How evenly a frame fills, and how far a forecast pressure can be trusted. Weights on the four
// sides of the injection point are in frame_figures.
#pragma once

#include <optional>
#include <span>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

enum class Side { left, right, top, bottom };

/// The side of the injection point on which a part lies: the axis along which its centre is farther
/// away decides, x when both are alike. Nothing when the centre is the injection point.
std::optional<Side> side_of(const Point& centre, const Point& injection);

/// Time between the first and the last cavity full [s]. Nothing while any is not full, or for less
/// than two.
/// @param full time when each cavity was full [s], negative = never
std::optional<double> fill_time_spread(std::span<const double> full);

/// A piece of a cavity that fills evenly from one time to another.
struct FillingPiece {
  double begin = 0.0, end = 0.0;  ///< [s], begin ≤ end
  double volume = 0.0;            ///< that is melt in the end [m³]
};
/// When the pieces together hold this much melt [s]; -1 when they never do.
/// @param volume [m³] > 0
double time_of_volume(std::span<const FillingPiece> pieces, double volume);

/// Share of a part that makes it "nearly full": the last corner after that fills slowly, often
/// under holding pressure, and jumps with the steps of a run.
inline constexpr double nearly_full_share = 0.98;

struct ForecastRange {
  double low = 0.0, high = 0.0;
};
/// Range of a pressure [Pa] (or of the force that it makes [N]) from the doubt of the viscosity, an
/// estimate: at a given flow the shear rates are given, so the stresses, and with them the
/// pressure, are proportional to the viscosity at those shear rates. Left out: the melt heats up
/// more when it is stiffer, which narrows the range. The press goes no higher than its limit.
/// @param band relative doubt of the viscosity at moulding shear rates [-] ≥ 0
/// @param limit highest value possible, same unit as `value`; 0 = none
ForecastRange viscosity_range(double value, double band, double limit);

}  // namespace firstshot
