// Width, depth and length of the neck between two pieces, and the cuts that bound it.
#pragma once

#include <optional>

#include "mesh/solid/roles.hpp"

namespace firstshot {

/// Straight section from rim to rim.
struct SectionAcross {
  Cut cut;
  double width = 0.0, depth = 0.0;  ///< depth: mean chord [m]; 0 where there is no rim on a side
  double deepest = 0.0;             ///< largest chord [m]
  double height = 0.0;              ///< mean height of the middle [m]
  double perimeter = 0.0;           ///< wall around it [m]; 0: not known
  double area() const { return width * depth; }
};
/// @param across unit vector along the section
SectionAcross section_across(const RoleInput& in, Point p, Point across);
/// Section of the kind that fits `of`, the measures those of `measured`: rectangle, trapezoid,
/// round or half round, of the measured area. A square trapezoid with a draft of 12° fills as much
/// as a circle: the perimeter of `of` tells them apart.
Section alike_section(const SectionAcross& of, const SectionAcross& measured);
/// Wall around the melt over a cut [m]: both surfaces and what stands upright at the ends.
double wetted_perimeter(const ColumnGrid& columns, const Cut& cut);

/// Walks from the neck square to its width in both directions while the section stays within 1.3
/// times the smallest. `towards` is a place on the side of the part.
/// @returns nothing where no two walls face each other at the neck
std::optional<GateShape> gate_at(const RoleInput& in, const Neck& neck, bool part_is_b);

}  // namespace firstshot
