// Edge lengths that the drawing asks for: several elements across narrow pieces, short sides kept
// as they are, mouths divided as wanted.
#pragma once

#include <vector>

#include "mesh/borders.hpp"
#include "mesh/build_model.hpp"
#include "mesh/size_field.hpp"

namespace firstshot {

/// Features from short sides (holes, fillets) and from the local width of areas: across_channel
/// elements across an area drawn as a runner, across_gate across a gate, 4 across a part, 2 between
/// a step's border and the next border. The local width is measured square to the border.
std::vector<SizeFeature> border_features(const Layout& layout, const Borders& borders,
                                         const MeshOptions& options);

/// Divides every side into pieces of the wanted size, and records the points in the graph.
void divide_sides(Borders& borders, const SizeField& field);

}  // namespace firstshot
