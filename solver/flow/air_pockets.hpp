// Pockets of air during one step: how much room the gas of each needs at a pressure, with what
// leaves through the outlets that melt has not covered and with its heat loss to the walls.
//
//   p V = m R T,   m = m0 - Δt Σ ṁ_vent(p),   T after air::temperature_after, τ = 1/(λ α),
//   λ = π²/h² in a gap of thickness h, 5.78/R² in a channel, mean over the pocket's volume; not
//   less than the π²/R² of a ball of the pocket's volume.
//
// Backward Euler in the outflow, so stiff vents are no trouble; the mass of gas is booked, never
// computed from p and V: what was there = what is there + escaped + carried along, to rounding.
// Outlets count as open during a step while their control volume was not full at its start. Heat
// from the melt front is left out; walls have the mean temperature of both mould halves.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solver/flow/air_outlets.hpp"
#include "solver/flow/air_state.hpp"
#include "solver/flow/control_volumes.hpp"
#include "solver/setup.hpp"

namespace firstshot {

class AirPockets {
 public:
  /// @param setup, volumes must outlive this @throws GeometryError as air_outlets
  AirPockets(const Setup& setup, const ControlVolumes& volumes);

  /// The closed mould before anything flows: air of the room at the temperature of the walls.
  AirState start() const;

  /// Begins a step: finds the pockets of `fill` (n_nodes) anew.
  void begin(AirState& air, std::span<const double> fill, double time, double dt);

  std::size_t count() const { return active_.size(); }  ///< pockets in this step
  /// Pocket of this step at each node, -1 = none (n_nodes).
  const std::vector<std::int32_t>& node_pocket() const { return node_pocket_; }
  double pressure_before(std::size_t k) const { return active_[k].pressure; }  ///< gauge [Pa]
  double volume_before(std::size_t k) const { return active_[k].volume; }      ///< [m³]

  /// Room that the gas of pocket k needs at the end of the step at this pressure [m³]; falls
  /// with the pressure, and below 0 where more could leave than there is.
  double gas_volume(std::size_t k, double gauge_pressure) const;
  /// Gauge pressure at which all gas of pocket k just leaves within the step; infinity when there
  /// is no open outlet [Pa].
  double expulsion_pressure(std::size_t k) const;

  /// Ends the step. @param fill (n_nodes) @param node_pocket (n_nodes) with the nodes that melt
  /// was pushed out of @param pressure (n_pockets) gauge [Pa]
  void finish(AirState& air, std::span<const double> fill,
              std::span<const std::int32_t> node_pocket, std::span<const double> pressure,
              double time) const;

  const AirOutlets& outlets() const { return outlets_; }
  double wall_temperature() const { return wall_; }  ///< [K]

 private:
  struct Active {
    std::size_t number = 0;  // in the table
    double mass = 0.0, temperature = 0.0, pressure = 0.0, volume = 0.0;
    double loss = 0.0;                    // λ [1/m²]
    std::vector<AirOutlets::Slit> slits;  // open ones, one entry per kind
  };
  double outflow(const AirOutlets::Slit& slit, double absolute, double temperature) const;
  double outflow(const Active& pocket, double gauge) const;
  double temperature_at(const Active& pocket, double gauge) const;
  void book(AirState& air, const Active& pocket, double pressure, double volume, double end) const;
  void book_exits(AirState& air, std::span<const std::int32_t> node_pocket,
                  std::span<const double> pressure) const;

  const Setup& setup_;
  const ControlVolumes& volumes_;
  AirOutlets outlets_;
  std::vector<double> rim_;  // (n_nodes) outer rim [m]
  double wall_ = 0.0;
  double dt_ = 0.0;
  std::vector<Active> active_;
  std::vector<std::int32_t> node_pocket_;
  std::vector<double> fill_before_;
};

}  // namespace firstshot
