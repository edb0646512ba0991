// Heights of both surfaces over the triangles of the mesh.
#pragma once

#include <functional>

#include "mesh/model.hpp"
#include "mesh/solid/draw_lines.hpp"

namespace firstshot {

/// Melt on the line along the draw through a place; none beside it.
using ColumnAt = std::function<DrawColumn(Point)>;

/// Fills relief, thickness, slope, lower and upper of a model that has its triangles and regions.
///
/// The thickness is the mean chord (16 lines per triangle) over the rise, so that every triangle
/// has the volume of the solid over it. The slope is that of the plane through the middles at six
/// places of the triangle; runners and gates count as flat: across a channel the middle of a half
/// round is bent, but melt runs along it.
void lay_relief(const ColumnAt& column_at, Model& model);

}  // namespace firstshot
