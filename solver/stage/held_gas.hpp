// Air that could not leave, while the full cavity is held: bubbles that the melt presses together,
// and that stay as voids where the melt around them turns solid.
//
//   V_gas = m R T_wall / (p + p_room),   M(p) = M_full(p) (1 - V_gas/V),   p gauge
//
// The gas of a pocket is spread evenly over its control volumes, joined by rings of full ones until
// it takes no more than a quarter of them, and by more when it expands: a bubble is a share of
// them, whose place is known to a few elements and whose size follows the gas law. A void keeps the
// size that it has when the core around it becomes solid. What leaks out meanwhile is booked as in
// the fill (flow/air_pockets.hpp); the table of pockets keeps what they held when filling ended.
// The gas has the walls' temperature.
#pragma once

#include "solver/flow/air_outlets.hpp"
#include "solver/stage/gap_mass.hpp"
#include "solver/stage/state.hpp"

namespace firstshot {

/// The cavity lacks nothing but the room of compressed air, which has at least half the pressure of
/// the injection point, or of bubbles: what is there can be held.
bool only_air_missing(const Setup& setup, const State& state);

class HeldGas {
 public:
  /// @param setup, volumes must outlive this
  HeldGas(const Setup& setup, const ControlVolumes& volumes);

  /// Spreads the gas of each pocket that is left over control volumes, and the melt of those evenly
  /// over them: state.hold.gas, .hollow, .mass where it is not cut off (-1), as a share of `full`.
  void begin(State& state) const;
  /// Before a step: lets gas escape for `dt`, and gives expanding bubbles more room.
  /// @param open (n_nodes) 1: some layer flows
  void prepare(State& state, double dt, std::span<const std::uint8_t> open) const;
  /// After a step: the bubbles' sizes where the core is not solid.
  void note(State& state, std::span<const std::uint8_t> open) const;

  /// Room of the gas in a control volume under gauge pressure [m³].
  double volume(double mass, double pressure) const;
  /// Mass of melt beside `gas` [kg], where without it there were `full`.
  NodeMass beside(const NodeMass& full, double gas, std::size_t node, double pressure) const;

 private:
  void spread(State& state, std::size_t pocket, std::vector<std::size_t> nodes, double most,
              std::span<const std::uint8_t> open) const;

  const Setup& setup_;
  const ControlVolumes& volumes_;
  AirOutlets outlets_;
  double wall_ = 0.0;  // [K]
};

}  // namespace firstshot
