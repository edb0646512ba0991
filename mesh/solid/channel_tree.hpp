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
  double deepest = 0.0;      ///< longest chord along the draw [m]
};

/// What a section takes of one triangle.
struct SectionPiece {
  std::int32_t section = -1, triangle = -1;
  double length = 0.0;  ///< [m]
  Point along;          ///< unit vector square to it, the way of the melt
};

struct ChannelTree {
  double step = 0.0;                     ///< way between levels [m]
  std::vector<ChannelSection> sections;  ///< parents before children
  std::vector<std::int32_t> section_of;  ///< (n_triangles) the last one passed on the way, or -1
  std::vector<SectionPiece> pieces;      ///< of all sections
};

/// @param model with relief @param inside (n_triangles) 1 in channels @param step [m] > 0
ChannelTree channel_tree(const Model& model, std::span<const std::uint8_t> inside, const Wave& wave,
                         double step);

/// Tree of a solid's runners from the sprue's foot (from the injection where there is no sprue); no
/// sections where there are no runners. @param model with relief and numbered nodes
ChannelTree runner_tree(const Model& model);

}  // namespace firstshot
