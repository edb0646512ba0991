// Who is what: runners, parts and gates among the pieces between necks.
//
// The piece that the melt enters is the runner when it is no wider than a few times its depth and a
// neck leads out of it; so are pieces of that kind behind it that lead on to others. What touches a
// runner at a neck is a part, and the neck is its gate. What hangs on a part alone belongs to it,
// unless it bears a mark of its own.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "mesh/solid/build_solid_model.hpp"
#include "mesh/solid/necks.hpp"
#include "mesh/solid/plan_outline.hpp"

namespace firstshot {

/// Straight cut across a neck, from rim to rim.
using Cut = std::array<Point, 2>;

/// A gate between its two cuts.
struct GateShape {
  GateFound size;
  Cut start, end;           ///< at the runner, at the part
  bool long_enough = true;  ///< else it is a cut only
};

struct Roles {
  std::vector<Region> regions;  ///< runners, then parts by place
  std::vector<std::int32_t> region_of_piece;
  std::vector<GateShape> gates;           ///< by part; size.region and size.part are set
  std::vector<std::string> unused_marks;  ///< names of marks beside all parts
};

/// What roles are found from.
struct RoleInput {
  const ColumnGrid& columns;
  const Necks& necks;
  std::span<const RidgePoint> ridge;
  std::span<const PlanLoop> loops;
  Point inlet;  ///< where the melt enters [m]
};

/// @throws GeometryError for two marks in one part, or a mark with another part's automatic name
Roles find_roles(const RoleInput& in, std::span<const PartMark> marks);

/// Whether p lies between two cuts, of a gate or a stub.
bool lies_between(const Cut& start, const Cut& end, Point p);

}  // namespace firstshot
