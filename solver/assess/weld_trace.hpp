// The way that melt took to a place, traced back from control volume to control volume, and where
// the ways to two neighbours lie so far apart that two fronts must have met between them.
//
// Two criteria must agree. Ways: somewhere on the last 12 elements before the pair, the two ways
// are farther apart than what the mesh makes of parallel ones (an element) plus what an angle of
// 30° would open. Directions: the mean flow along the last 4 elements of both ways differs by more
// than 25° and converges. The first finds holes, loops of runners and several gates, the second
// keeps the bends of a single stream out. Both are in lengths of elements, so that a finer mesh
// gives the same lines, only sharper. A notch in the front that is smaller than about 3 elements is
// not seen.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "mesh/model.hpp"
#include "solver/stage/front_record.hpp"

namespace firstshot {

/// Angle between two flow directions above which fronts are taken to meet [rad].
inline constexpr double least_turn = 25.0 / 180.0 * 3.14159265358979323846;

class WeldTrace {
 public:
  /// @param arrival (n_nodes) [s], -1 = never. All must outlive this object.
  WeldTrace(const Model& model, const FrontRecord& front, const NodeField<double>& arrival);

  /// Mean distance of a node from its neighbours in the mesh [m]; 0 for nodes of channels only.
  double size(std::size_t node) const { return size_[node]; }
  /// Pairs of neighbouring nodes of the mesh, each once, the smaller number first.
  const std::vector<std::pair<std::size_t, std::size_t>>& pairs() const { return pairs_; }
  /// Whether two fronts met between neighbouring nodes of the mesh.
  bool met(std::size_t a, std::size_t b) const;
  /// Angle between the flow directions on the two ways [rad], 0 side by side, π head-on.
  double turn(std::size_t a, std::size_t b) const;

 private:
  struct Way {
    std::vector<std::size_t> node;
    std::vector<double> length;  ///< from the beginning to each node [m]
  };
  Way way(std::size_t node, double length) const;
  Point3 at(const Way& way, double length) const;
  Point direction(const Way& way, double length) const;
  bool parted(const Way& a, const Way& b, double size) const;

  const Model& model_;
  const FrontRecord& front_;
  const NodeField<double>& arrival_;
  std::vector<std::pair<std::size_t, std::size_t>> pairs_;
  std::vector<double> size_;
};

}  // namespace firstshot
