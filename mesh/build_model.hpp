// Layout → Model: constrained Delaunay mesh of all areas, 1D network of runners, gates and sprue,
// joints.
#pragma once

#include <functional>
#include <vector>

#include "mesh/layout.hpp"
#include "mesh/model.hpp"

namespace firstshot {

struct MeshOptions {
  double element_size = 1.2e-3;  ///< wanted edge length in the open [m]
  double grading = 0.25;         ///< growth of edge length per length away from small features [-]
  int across_channel = 6;        ///< elements across an area drawn as a runner
  int across_gate = 4;  ///< elements across a gate drawn as an area, and along a gate's mouth
  int min_elements_per_line = 4;    ///< 1D elements along each runner leg, gate and sprue
  double line_element_size = 2e-3;  ///< longest 1D element [m]
};

/// Builds and checks the model. @throws GeometryError with the place for: an outline that crosses
/// itself, areas that overlap, thickness or section that is not positive and finite, a zero-length
/// runner or gate, a gate that touches nothing, a part that no channel reaches, an injection point
/// off the frame.
Model build_model(const Layout& layout, const MeshOptions& options);

}  // namespace firstshot
