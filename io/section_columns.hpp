// Sections of 1D elements as plain columns of numbers, the way a file stores them.
//
//   kind  0 round, 1 half round, 2 trapezoid, 3 rectangle
//   width diameter of the round ones, else the width at the parting plane [m]
//   depth along the draw [m]
//   draft of each side of a trapezoid from the draw direction [deg], else 0
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

struct SectionColumns {
  std::vector<std::int32_t> kind;           ///< (n_lines)
  std::vector<double> width, depth, draft;  ///< (n_lines)
};

/// @param at_start sections at `from`, otherwise at `to`
SectionColumns section_columns(const LineField<LineElement>& lines, bool at_start);

/// The section of row i; nothing when its kind is unknown.
std::optional<Section> section_from_columns(const SectionColumns& columns, std::size_t i);

/// Radius of the circle of the same area [m].
double equal_area_radius(const Section& section);

}  // namespace firstshot
