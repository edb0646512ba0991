// The sprue of a solid: what stands highest above the rest, near the middle. It becomes a 1D
// element; what lies below its foot is meshed like the rest.
#pragma once

#include <optional>

#include "mesh/solid/build_solid_model.hpp"
#include "mesh/solid/column_grid.hpp"

namespace firstshot {

/// A sprue and the level at which it stands on the frame.
struct StandingSprue {
  SprueFound size;
  double foot = 0.0;   ///< height of its foot [m]
  bool upward = true;  ///< stands on the upper surface; else it hangs from the lower one
};

/// Something slim: at least 1.5 times as high over the middle height of the frame as it is thick,
/// in the middle 60 % of the frame's extent. Of several the highest; within 5 % the one nearest to
/// the middle. Its diameters are those of the cone that fits the areas of its sections best.
std::optional<StandingSprue> find_sprue(const ColumnGrid& columns);

/// Columns without the sprue.
DrawColumn without_sprue(DrawColumn column, const StandingSprue& sprue, Point p);

}  // namespace firstshot
