// The air in the mould as part of the State: which pocket each control volume belongs to, and what
// is known of every pocket there ever was. Columns of doubles, so that they are stored as they are.
#pragma once

#include <cstddef>
#include <vector>

#include "mesh/field.hpp"

namespace firstshot {

/// One entry per pocket, in the order of their birth; an entry stays when its pocket has gone.
struct PocketTable {
  std::vector<double> mass;         ///< of gas now [kg]
  std::vector<double> temperature;  ///< [K]
  std::vector<double> pressure;     ///< gauge [Pa]
  std::vector<double> volume;       ///< [m³]
  std::vector<double> x, y;         ///< centre of the gas, the last one while there was any [m]
  std::vector<double> closed;       ///< when it got its own borders: start, last split or merge [s]
  std::vector<double> closed_volume;     ///< at that time [m³]
  std::vector<double> closed_mass;       ///< [kg]
  std::vector<double> ended;             ///< when nothing was left of it [s], -1 = still there
  std::vector<double> merged_into;       ///< number of the pocket that took it over, -1 = none
  std::vector<double> peak_pressure;     ///< gauge [Pa]
  std::vector<double> peak_temperature;  ///< with heat loss [K]
  std::vector<double> hot_time;          ///< longest time without a break above the threshold [s]
  std::vector<double> hot_now;           ///< the present stretch of it [s]
  std::vector<double> peak_squeeze;      ///< largest rate at which melt took its volume [m³/s]
  std::vector<double> node;              ///< of the model, the last one that held its gas

  std::vector<double> rim;  ///< outer rim that its gas last touched [m]

  std::size_t size() const { return mass.size(); }
  bool operator==(const PocketTable&) const = default;
};

/// Calls f(name, unit, column) for each column. Works on PocketTable& and const PocketTable&.
template <class T, class F>
void for_each_column(T& t, F&& f) {
  f("pocket_mass", "kg", t.mass);
  f("pocket_temperature", "K", t.temperature);
  f("pocket_pressure", "Pa", t.pressure);
  f("pocket_volume", "m3", t.volume);
  f("pocket_x", "m", t.x);
  f("pocket_y", "m", t.y);
  f("pocket_closed", "s", t.closed);
  f("pocket_closed_volume", "m3", t.closed_volume);
  f("pocket_closed_mass", "kg", t.closed_mass);
  f("pocket_ended", "s", t.ended);
  f("pocket_merged_into", "1", t.merged_into);
  f("pocket_peak_pressure", "Pa", t.peak_pressure);
  f("pocket_peak_temperature", "K", t.peak_temperature);
  f("pocket_hot_time", "s", t.hot_time);
  f("pocket_hot_now", "s", t.hot_now);
  f("pocket_peak_squeeze", "m3/s", t.peak_squeeze);
  f("pocket_node", "1", t.node);
  f("pocket_rim", "m", t.rim);
}

/// Empty while air is not followed.
struct AirState {
  NodeField<double> pocket;        ///< number of the pocket, -1 where there is none (n_nodes)
  NodeField<double> gas_pressure;  ///< gauge, of the gas in a control volume (n_nodes) [Pa]
  NodeField<double> exit_energy;   ///< of compressed gas that left there so far (n_nodes) [J]
  PocketTable pockets;
  double escaped = 0.0;  ///< mass of gas that has left the mould [kg]
  double carried = 0.0;  ///< mass of gas carried along in the melt [kg]

  bool operator==(const AirState&) const = default;
};

}  // namespace firstshot
