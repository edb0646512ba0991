// Joins drawn paths whose ends meet. Drawing programs break an outline into many lines and leave
// tiny gaps between them: ends nearer than a tolerance are one point, nearest pairs first, in the
// middle between both.
#pragma once

#include <functional>
#include <vector>

#include "mesh/drawing.hpp"

namespace firstshot {

struct JoinRule {
  double gap = 0.05e-3;  ///< largest distance that is closed [m] > 0
  /// Whether paths may be joined at this point; empty: everywhere.
  std::function<bool(Point)> may_join = {};
  /// Whether a place where three or more ends meet stays a crossing instead of being joined pair by
  /// pair.
  bool leave_crossings = false;
};

/// What was done on the way; small gaps of rounding (below 1 µm) are not counted.
struct JoinReport {
  int gaps = 0;              ///< closed
  double largest_gap = 0.0;  ///< [m]
  Point largest_at;
  int repeats = 0;  ///< paths that lay on top of another one and were left out
  Point repeat_at;
  void add(const JoinReport& other);
};

/// Chains of the given paths, closed where they come back to their start. The order depends on the
/// order of `paths` only.
/// @throws GeometryError so many ends in one place that nobody can tell them apart
std::vector<DrawnPath> join_paths(std::vector<DrawnPath> paths, const JoinRule& rule,
                                  JoinReport& report);

/// The error of a path that does not close: both ends, and the end of another path that is nearest
/// to the first.
[[noreturn]] void throw_open(const DrawnPath& path, const std::vector<DrawnPath>& all, double gap);

}  // namespace firstshot
