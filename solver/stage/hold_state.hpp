// What changes while the full cavity is held under pressure and closes; part of State.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "mesh/field.hpp"

namespace firstshot {

/// pressing: the press holds its pressure; released: it has let go, the cavity closes and cools.
enum class HoldMode : std::int32_t { not_begun, pressing, released, done };

/// mass, solid, frozen, linear, freeze, ejectable, zero, gas, hollow are there from the first step
/// of the fill on.
struct HoldState {
  HoldMode mode = HoldMode::not_begun;
  double start = -1.0;           ///< when holding of the full cavity began [s], -1 before
  double release = -1.0;         ///< when the press let go [s], -1 before
  double event = -1.0;           ///< last change of the set pressure [s]
  double gave_up = 0.0;          ///< 1: let go although melt still reached the parts [-]
  double start_mass = 0.0;       ///< in the mould when it began [kg]
  double injected_mass = 0.0;    ///< since then, less what flowed back [kg]
  NodeField<double> mass;        ///< (n_nodes) [kg]; before, -1 where not cut off by freezing
  NodeField<double> begin;       ///< pressure when holding began (n_nodes) [Pa]
  NodeField<double> solid;       ///< share of the gap that has turned to glass (n_nodes) [-]
  NodeField<double> frozen;      ///< ∫ p d(share), p as each layer turned to glass (n_nodes) [Pa]
  NodeField<double> linear;      ///< ∫ free linear shrinkage d(share) (n_nodes) [-]
  NodeField<double> freeze;      ///< when the core became solid (n_nodes) [s], -1 before
  NodeField<double> ejectable;   ///< when it was cold enough to be ejected (n_nodes) [s], -1 before
  NodeField<double> zero;        ///< when the pressure fell to 0 (n_nodes) [s], -1 before
  NodeField<double> gas;         ///< air caught in it (n_nodes) [kg]
  NodeField<double> hollow;      ///< that it keeps from being melt or solid (n_nodes) [m³]
  std::vector<double> time;      ///< end of each step [s]
  std::vector<double> all_mass;  ///< in the mould at that time [kg]
  std::vector<double> part_mass;      ///< in the parts at that time [kg]
  std::vector<double> released_mass;  ///< in the parts, had the press let go then [kg] (estimate)

  bool operator==(const HoldState&) const = default;
};

/// Calls f(name, unit, array) for each array. Works on HoldState& and const HoldState&.
template <class H, class F>
void for_each_hold_array(H& h, F&& f) {
  f("hold_mass", "kg", h.mass.vector());
  f("hold_begin_pressure", "Pa", h.begin.vector());
  f("hold_solid", "1", h.solid.vector());
  f("hold_frozen_pressure", "Pa", h.frozen.vector());
  f("hold_linear_shrinkage", "1", h.linear.vector());
  f("hold_freeze_time", "s", h.freeze.vector());
  f("hold_ejectable_time", "s", h.ejectable.vector());
  f("hold_zero_time", "s", h.zero.vector());
  f("hold_gas", "kg", h.gas.vector());
  f("hold_hollow", "m3", h.hollow.vector());
  f("hold_time", "s", h.time);
  f("hold_all_mass", "kg", h.all_mass);
  f("hold_part_mass", "kg", h.part_mass);
  f("hold_released_mass", "kg", h.released_mass);
}
template <class H, class F>
void for_each_hold_scalar(H& h, F&& f) {
  f("hold_start", "s", h.start);
  f("hold_release", "s", h.release);
  f("hold_event", "s", h.event);
  f("hold_gave_up", "1", h.gave_up);
  f("hold_start_mass", "kg", h.start_mass);
  f("hold_injected_mass", "kg", h.injected_mass);
}

}  // namespace firstshot
