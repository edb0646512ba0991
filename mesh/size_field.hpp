// Wanted edge length over the plane:
//   size(x) = min( open size, min over features i of  size_i + grading · distance(x, feature i) ).
// Near a small feature the mesh is as fine as the feature asks for and coarsens from there at the
// given rate. Evaluated through a tree of squares that keep only the features that can be the
// smallest in them.
#pragma once

#include <cstdint>
#include <vector>

#include "mesh/plane.hpp"

namespace firstshot {

/// A straight line along which a given edge length is wanted.
struct SizeFeature {
  Point a, b;         ///< [m]
  double size = 0.0;  ///< [m] > 0
};

class SizeField {
 public:
  /// @param open_size edge length far from all features [m] > 0
  /// @param grading growth of edge length per length [-] > 0
  /// @param box holds every point that is asked for
  SizeField(const std::vector<SizeFeature>& features, double open_size, double grading,
            const Box& box);

  /// Wanted edge length [m]. In the smallest squares one value stands for the square; it is off by
  /// at most five per cent.
  double at(Point p) const;

  /// Number of vertices that a mesh of equilateral triangles of the wanted size over the whole box
  /// would have; an upper estimate for any mesh inside it.
  double expected_vertices() const;

 private:
  struct Square {
    std::int32_t child = -1;          ///< first of four, -1 for a leaf
    std::int32_t first = 0, end = 0;  ///< features of a leaf, in listed_
    double limit = 0.0;               ///< size in a leaf without features, cap otherwise [m]
  };
  struct Place {
    Point centre;
    double half = 0.0;
    int depth = 0;
  };
  void build(std::int32_t square, const Place& place, std::vector<SizeFeature> features);
  double value(const Square& leaf, Point p) const;
  double sum_vertices(std::int32_t square, const Place& place) const;
  static Place quarter(const Place& place, int k);

  std::vector<Square> squares_;
  std::vector<SizeFeature> listed_;
  Place root_;
  double open_size_;
  double grading_;
};

}  // namespace firstshot
