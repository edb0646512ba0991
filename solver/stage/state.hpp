// Everything that changes during filling. A State can be copied, compared and written; a run
// continued from a stored State gives the same bits as one that was never stopped.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "mesh/field.hpp"
#include "solver/flow/air_state.hpp"
#include "solver/setup.hpp"
#include "solver/stage/front_record.hpp"
#include "solver/stage/hold_state.hpp"

namespace firstshot {

enum class FillMode : std::int32_t { speed, pressure_limit, holding, done };
/// Why filling ended.
enum class Outcome { filled, pressure_limit, frozen, air, time_limit, interrupted };

struct State {
  std::int64_t step = 0;
  double time = 0.0;                ///< [s]
  double injected = 0.0;            ///< integral of the flow into the mould [m³]
  double displaced = 0.0;           ///< integral of the screw's displacement [m³]
  double injection_pressure = 0.0;  ///< melt at the injection point [Pa]
  double flow_rate = 0.0;           ///< into the mould during the last step [m³/s]
  double switch_over_time = -1.0;   ///< [s], -1 before it
  double holding_pressure = 0.0;    ///< set at switch-over [Pa]
  double peak_pressure = 0.0;       ///< [Pa]
  double last_dt = 0.0;             ///< [s]
  FillMode mode = FillMode::speed;
  Outcome outcome = Outcome::filled;  ///< why filling ended, once mode is done

  NodeField<double> fill;      ///< filled share f (n_nodes) [-], 0 … 1
  NodeField<double> pressure;  ///< (n_nodes) [Pa] gauge
  /// Pressure when that at the injection point was highest in filling (n_nodes) [Pa].
  NodeField<double> peak_field;
  NodeField<double>
      arrival;             ///< time when half the control volume is full (n_nodes) [s], -1 before
  NodeField<double> full;  ///< time when it is full (n_nodes) [s], -1 before
  /// Temperature of each layer, row-major (n_nodes, n_columns) [K]; columns run from the mid plane
  /// (axis) to the wall when both halves are alike, else from the fixed to the moving wall.
  std::vector<double> temperature;
  NodeField<double> shear_rate;     ///< largest in the gap during the last step (n_nodes) [1/s]
  TriField<double> gradient;        ///< |∇p| of the last iteration (n_triangles) [Pa/m]
  TriField<double> neutral;         ///< neutral plane z₀ / half gap (n_triangles) [-]
  TriField<double> fluidity;        ///< S (n_triangles) [m³/(Pa s)]
  LineField<double> line_gradient;  ///< (n_lines) [Pa/m]
  LineField<double> line_fluidity;  ///< flow per gradient (n_lines) [m⁵/(Pa s)]
  std::vector<double>
      gate_pressure_loss;  ///< largest so far, per channel with role gate, model order [Pa]
  std::vector<double> gate_shear_rate;  ///< largest so far, same order [1/s]
  std::vector<double> flux;  ///< last flow along each edge of the operator, edge order [m³/s]
  FrontRecord front;         ///< noted as the melt front passes
  AirState air;              ///< empty while air is not followed
  HoldState hold;            ///< empty until the cavity is full

  bool operator==(const State&) const = default;
};

/// Calls f(name, unit, span of doubles) for each array of the state, in a fixed order, so that a
/// writer and a reader need no list of their own. Works on State& and const State&.
template <class S, class F>
void for_each_array(S& s, F&& f) {
  f("fill", "1", s.fill.vector());
  f("pressure", "Pa", s.pressure.vector());
  f("peak_field", "Pa", s.peak_field.vector());
  f("arrival", "s", s.arrival.vector());
  f("full", "s", s.full.vector());
  f("temperature", "K", s.temperature);
  f("shear_rate", "1/s", s.shear_rate.vector());
  f("gradient", "Pa/m", s.gradient.vector());
  f("neutral", "1", s.neutral.vector());
  f("fluidity", "m3/(Pa s)", s.fluidity.vector());
  f("line_gradient", "Pa/m", s.line_gradient.vector());
  f("line_fluidity", "m5/(Pa s)", s.line_fluidity.vector());
  f("gate_pressure_loss", "Pa", s.gate_pressure_loss);
  f("gate_shear_rate", "1/s", s.gate_shear_rate);
  f("flux", "m3/s", s.flux);
  for_each_front_array(s.front, f);
  f("air_pocket", "1", s.air.pocket.vector());
  f("air_gas_pressure", "Pa", s.air.gas_pressure.vector());
  f("air_exit_energy", "J", s.air.exit_energy.vector());
  for_each_column(s.air.pockets, f);
  for_each_hold_array(s.hold, f);
}
/// Calls f(name, unit, double&) for each floating-point scalar of the state.
template <class S, class F>
void for_each_scalar(S& s, F&& f) {
  f("time", "s", s.time);
  f("injected", "m3", s.injected);
  f("displaced", "m3", s.displaced);
  f("injection_pressure", "Pa", s.injection_pressure);
  f("flow_rate", "m3/s", s.flow_rate);
  f("switch_over_time", "s", s.switch_over_time);
  f("holding_pressure", "Pa", s.holding_pressure);
  f("peak_pressure", "Pa", s.peak_pressure);
  f("last_dt", "s", s.last_dt);
  f("air_escaped", "kg", s.air.escaped);
  f("air_carried", "kg", s.air.carried);
  for_each_hold_scalar(s.hold, f);
}

/// What a picture or a file shows of a State, one value per node (n_nodes).
struct NodeFields {
  NodeField<double> arrival_time;      ///< [s], NaN where not reached
  NodeField<double> fill;              ///< [-]
  NodeField<double> pressure;          ///< [Pa]
  NodeField<double> temperature_mean;  ///< over the gap [K], NaN where not reached
  NodeField<double> temperature_core;  ///< at the mid plane [K], NaN where not reached
  NodeField<double> solid_share;       ///< share of the gap below the no-flow temperature [-]
  NodeField<double> shear_rate;        ///< largest in the gap [1/s]
  NodeField<double> gas_pressure;      ///< ahead of the front [Pa], NaN where there is no gas
  NodeField<double> exit_energy;       ///< of compressed air that left, per length of edge [J/m]
  NodeField<double> air_pocket;        ///< number of the pocket of air, NaN where there is none [-]
  // NaN until the full cavity is held:
  NodeField<double> begin_pressure;    ///< when holding began [Pa]
  NodeField<double> frozen_pressure;   ///< mean at which the layers turned to glass so far [Pa]
  NodeField<double> volume_shrinkage;  ///< of the mass that is there now, cold and free [-]
  NodeField<double> void_share;        ///< of the place, that caught air keeps free [-]
  NodeField<double>
      time_to_ejection;  ///< since the start of injection [s], NaN until it is reached
};
NodeFields node_fields(const Setup& setup, const State& state);

/// A line of the run's record, one per step.
struct HistoryEntry {
  double time = 0.0;                ///< [s]
  double filled_fraction = 0.0;     ///< of the volume [-]
  double flow_rate = 0.0;           ///< into the mould [m³/s]
  double injection_pressure = 0.0;  ///< [Pa]
  double opening_force = 0.0;       ///< pressure × projected area [N]
};

/// What the observer of a run sees after each step.
struct Snapshot {
  const Setup& setup;
  const State& state;
  const std::vector<HistoryEntry>& history;  ///< up to and with this step
  bool keep = false;                         ///< this step is one of those to be written
};
/// Called after every step; returning false stops the run cleanly at this step.
using Observer = std::function<bool(const Snapshot&)>;

}  // namespace firstshot
