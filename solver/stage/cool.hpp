// Cooling of the whole shot, column by column: when each place may be ejected, and what heat each
// mould half gets until the mould opens (heat/cooling_column). Heat along the plane is left out: it
// needs minutes where the way through the gap needs seconds.
#pragma once

#include <vector>

#include "solver/flow/control_volumes.hpp"
#include "solver/flow/gap_flow.hpp"
#include "solver/heat/cooling_column.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// What cooling begins with.
struct CoolStart {
  double time = 0.0;                    ///< since the start of injection [s]
  std::span<const double> temperature;  ///< (n_nodes, n_columns) [K]
  std::span<const double> pressure;     ///< what each gap was sealed at (n_nodes) [Pa]
  std::span<const double> fill;         ///< (n_nodes) [-]; an empty node does not cool
  /// Of a cavity that was held; else empty: mass (n_nodes) [kg], when each place shrank away and
  /// when it was cold enough, -1 where not (n_nodes) [s].
  std::span<const double> mass = {}, let_go = {}, ejectable = {};
};

struct CoolState {
  std::vector<double> temperature;  ///< (n_nodes, n_columns) [K] at `time`
  double time = 0.0;                ///< reached by all nodes; meaningless after until_ejectable
  NodeField<double> ejectable;      ///< since the start of injection (n_nodes) [s], -1: not yet
  NodeField<double> detached;       ///< when it let go of the wall (n_nodes) [s], -1: not yet
  NodeField<double> node_time;      ///< how far each node has come (n_nodes) [s]
  /// Heat given to each half since the start of cooling, per node (n_nodes) [J].
  std::vector<double> heat_fixed, heat_moving;
  /// Specific volume that each gap held when cooling began (n_nodes) [m³/kg], 0 where it is empty.
  std::vector<double> sealed_volume;
  std::vector<double> density;  ///< mass over volume of each gap (n_nodes) [kg/m³]
};

/// The walls of a setup; a part that has shrunk away has no better contact than before.
CoolingWalls cooling_walls(const Setup& setup);

/// 1 for nodes that belong to a part, 0 for runners, gates and sprue (n_nodes).
std::vector<std::uint8_t> nodes_of_parts(const Model& model);

class Cool {
 public:
  /// @param setup, volumes, grid must outlive it @param walls instead of the setup's
  Cool(const Setup& setup, const ControlVolumes& volumes, const GapGrid& grid,
       const CoolingWalls& walls);

  CoolState begin(const CoolStart& start) const;
  /// Every node on its own until it may be ejected.
  void until_ejectable(CoolState& state) const;
  /// Until the mould opens. @param end [s]; nodes that are beyond stay where they are
  void go_on(CoolState& state, double end) const;

 private:
  void advance(CoolState& state, double end) const;

  const Setup& setup_;
  const ControlVolumes& volumes_;
  const GapGrid& grid_;
  CoolingWalls walls_;
  Enthalpy enthalpy_;
  std::vector<std::uint8_t> of_part_;
};

}  // namespace firstshot
