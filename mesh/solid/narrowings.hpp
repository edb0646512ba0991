// Where the melt enters a smaller channel of a solid: the places of entrance losses inside runners,
// as mesh/direct.hpp marks them on channels given as lines.
//
// Sections are followed along the way of the melt (channel_tree.hpp). A narrowing is where the
// smallest section over the next width is more than a share smaller than the smallest of the last
// ones; the taper of one channel is less. The loss is laid over about a width of the smaller one.
#pragma once

#include <span>

#include "mesh/model.hpp"

namespace firstshot {

/// Hydraulic radii 2A/P of entrance per length of way (n_triangles) [-], 0 where there is none:
/// times Process::entrance_length it is extra length per length.
/// @param model with relief, roles and numbered nodes
/// @param first_area of the sprue's foot [m²], which feeds the channels there; 0: no loss there
TriField<double> entrance_shares(const Model& model, double first_area);

}  // namespace firstshot
