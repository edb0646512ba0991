// Along which direction the mould opens.
#pragma once

#include "mesh/solid/build_solid_model.hpp"
#include "mesh/solid/shell.hpp"

namespace firstshot {

/// Axes with z along `draw`. Along an axis of the file, x and y are the other two in cyclic order;
/// against an axis, x stays and y is turned over. @throws Error for a direction without length.
DrawFrame frame_along(const Point3& draw);

/// The axis of the file along which lines meet melt only once; of several such the one with the
/// largest area seen along it. When none is free of undercuts, the one with the smallest share.
DrawFrame best_frame(const Shell& shell);

/// The surface in other axes.
Shell in_frame(const Shell& shell, const DrawFrame& frame);

}  // namespace firstshot
