// Which node of a model stands for a place in space: the nearest one, with mesh vertices at the
// middle of the wall.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

class NearestNode {
 public:
  /// @param model with at least one node
  explicit NearestNode(const Model& model);
  /// @param at in the coordinates of the model [m]
  NodeId of(const Point3& at) const;

 private:
  struct Entry {
    Point3 at;
    NodeId node{};
  };
  void add(const Point3& at, NodeId node) { entries_.push_back({at, node}); }
  void sort_into_cells();
  void look(std::int64_t column, std::int64_t row, const Point3& at, double& least,
            NodeId& best) const;

  std::vector<Entry> entries_;      ///< sorted by cell
  std::vector<std::size_t> first_;  ///< of each cell in entries_, and one past the last
  double x0_ = 0.0, y0_ = 0.0, side_ = 1.0;
  std::int64_t columns_ = 1, rows_ = 1;
};

}  // namespace firstshot
