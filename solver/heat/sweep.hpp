// Convection in the plane as one pass: melt runs downhill in pressure along every edge, so nodes
// taken in falling order of pressure have all their upstream temperatures at hand. Each node is one
// tridiagonal solve through its gap (column.hpp): implicit, upwind, unconditionally stable, no
// Courant limit in a gate. Threads take nodes in this order and wait for single upstream ones
// (ordered_loop.hpp); every node gathers, so the bits do not depend on the number of threads.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solver/flow/control_volumes.hpp"
#include "solver/flow/gap_flow.hpp"
#include "solver/heat/column.hpp"
#include "solver/heat/streams.hpp"
#include "solver/numeric/ordered_loop.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// One step's fields, all (n_nodes) unless said.
struct SweepInput {
  double dt = 0.0;  ///< [s]
  std::span<const double> fill_before, fill_after;
  std::span<const double> pressure;  ///< at the end of the step [Pa]
  std::span<const double> flux;      ///< (n_edges) from first to second end [m³/s]
  std::span<const double> inverse;   ///< 1/η₀ (n_nodes, n_columns) [1/(Pa s)]
  std::span<const double> gradient;  ///< [Pa/m]
  std::span<const double> neutral;   ///< [-]
  std::size_t inlet = 0;             ///< node where melt enters
  double inlet_flow = 0.0;           ///< [m³/s], negative where melt leaves
  bool stores_melt = false;          ///< what comes in and does not leave stays, by compression
  /// What the melt stored during the step came in against; empty: the setup's [Pa].
  std::span<const double> gas_pressure = {};
  /// When each node shrank away from the wall, < 0 where it has not; empty: nowhere [s].
  std::span<const double> let_go = {};
};

struct SweepScratch;

class HeatSweep {
 public:
  HeatSweep(const Setup& setup, const ControlVolumes& volumes, const GapGrid& grid,
            const ReducedCurve& curve);

  /// Moves `temperature` (n_nodes, n_columns) [K] on by one step; notes the largest shear rate in
  /// the gap of each node that holds melt (n_nodes) [1/s].
  void advance(const SweepInput& in, std::span<double> temperature, std::span<double> shear_rate);

 private:
  void order_nodes(const SweepInput& in);
  void advance_node(const SweepInput& in, std::size_t node, SweepScratch& scratch,
                    std::span<double> temperature);

  const Setup& setup_;
  const ControlVolumes& volumes_;
  const GapGrid& grid_;
  const ReducedCurve& curve_;
  MouldContact contact_;
  Streams streams_;
  OrderedLoop loop_;
  std::vector<std::int32_t> order_;     // nodes that hold melt, none before one upstream of it
  std::vector<std::int32_t> upstream_;  // (n_nodes) neighbours with melt that flows to it
};

}  // namespace firstshot
