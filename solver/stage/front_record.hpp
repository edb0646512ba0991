// What is noted of the melt front as it passes each control volume: where the melt came from, which
// way it flowed, how hot it was. Fronts that meet are found from it (assess/weld_lines).
//
// The origin of a control volume is the neighbour that gave most of the melt in the step in which
// it became half full. Melt only comes from full control volumes at a higher pressure, so that
// origins lead back to the injection point without a circle.
#pragma once

#include <span>
#include <vector>

#include "solver/flow/control_volumes.hpp"
#include "solver/flow/gap_flow.hpp"

namespace firstshot {

/// One value per node (n_nodes) each; part of the State.
struct FrontRecord {
  std::vector<double> origin;       ///< node that the melt came from, -1 = none
  std::vector<double> way_x;        ///< unit vector of the flow when half full, 0 before [-]
  std::vector<double> way_y;        ///< same, in the parting plane [-]
  std::vector<double> temperature;  ///< mean over the gap at the end of the step when full [K], 0
                                    ///< before
  std::vector<double> pressure;     ///< at that time [Pa], 0 before

  bool operator==(const FrontRecord&) const = default;
};

/// Calls f(name, unit, array) for each array. Works on FrontRecord& and const FrontRecord&.
template <class R, class F>
void for_each_front_array(R& r, F&& f) {
  f("front_origin", "1", r.origin);
  f("front_way_x", "1", r.way_x);
  f("front_way_y", "1", r.way_y);
  f("front_temperature", "K", r.temperature);
  f("front_pressure", "Pa", r.pressure);
}

/// Nothing has arrived anywhere.
FrontRecord no_front(std::size_t n_nodes);

/// One step as it ended.
struct FrontStep {
  std::span<const double> fill_before;  ///< (n_nodes) [-]
  std::span<const double> fill_after;   ///< (n_nodes) [-]
  std::span<const double> pressure;     ///< (n_nodes) [Pa]
  std::span<const double> flux;         ///< (n_edges) [m³/s]
  std::span<const double> temperature;  ///< (n_nodes, n_columns) [K]
};

/// Notes the control volumes that the front has reached or filled in this step; each is noted once.
void note_front(const ControlVolumes& volumes, const NodeField<Point3>& position,
                const GapGrid& grid, const FrontStep& step, FrontRecord& record);

}  // namespace firstshot
