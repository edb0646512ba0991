// 1/η₀ of every layer, the form in which flow kernels take temperature and pressure: its mean over
// the layer, not its value in the middle. Near a cold wall the temperature rises by tens of degrees
// across one layer and 1/η₀ by a factor of ten; a layer flows by its warm side.
//
// Temperature is taken as straight from border to centre to border of a layer, ln(1/η₀) as straight
// along it, so half a layer has (e₂ - e₁)/ln(e₂/e₁), and only over the part above the no-flow
// temperature. A border's temperature is the one that the conduction of column.hpp has there.
#pragma once

#include <span>

#include "solver/flow/gap_flow.hpp"
#include "solver/heat/column.hpp"
#include "solver/material/material.hpp"

namespace firstshot {

/// The columns whose layers are asked for, all (n_nodes) unless said.
struct LayeredColumns {
  std::span<const double> temperature;  ///< (n_nodes, n_columns) [K]
  std::span<const double> pressure;     ///< [Pa]
  std::span<const double> half_gap;     ///< [m]
  std::span<const double> fill;         ///< > 0 where melt is; other nodes keep what they hold
  std::span<const double> contact{};    ///< with the mould, over the wall's [-]; empty: 1
};

/// @param contact as in ColumnSolver; conductance 0: the wall is as warm as the melt beside it
/// @param inverse out: 1/η₀ (n_nodes, n_columns) [1/(Pa s)], 0 where all of a layer is solid
void inverse_viscosity(const Material& material, const GapGrid& grid, const MouldContact& contact,
                       const LayeredColumns& columns, std::span<double> inverse);

}  // namespace firstshot
