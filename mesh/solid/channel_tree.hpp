// Sections of the channels of a solid along the way of the melt: the lines of equal way
// (wave.hpp) cut every channel across, and where a channel divides, so do they.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "mesh/model.hpp"
#include "mesh/solid/wave.hpp"

namespace firstshot {

/// One connected piece of a line of equal way.
struct ChannelSection {
  std::int32_t level = 0;    ///< its way is (level + 1/2) × step
  std::int32_t parent = -1;  ///< section of the level before; -1 at the start
  double width = 0.0;        ///< length of the line [m]
  double area = 0.0;         ///< melt over it [m²]
  double perimeter = 0.0;    ///< wall around that [m]
};

struct ChannelTree {
  double step = 0.0;                     ///< way between levels [m]
  std::vector<ChannelSection> sections;  ///< parents before children
  std::vector<std::int32_t> section_of;  ///< (n_triangles) the last one passed on the way, or -1
};

/// @param model with relief @param inside (n_triangles) 1 in channels @param step [m] > 0
ChannelTree channel_tree(const Model& model, std::span<const std::uint8_t> inside, const Wave& wave,
                         double step);

}  // namespace firstshot
