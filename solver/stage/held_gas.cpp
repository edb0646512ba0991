#include "solver/stage/held_gas.hpp"

#include <algorithm>
#include <cmath>

#include "solver/flow/air_gas.hpp"
#include "solver/flow/air_vent.hpp"
#include "solver/stage/fill.hpp"

namespace firstshot {
namespace {

constexpr double held_share = 0.5;   // gas pressure / pressure at the injection point
constexpr double full_share = 1e-6;  // of a control volume that may lack
/// Bubbles take at most this share of their control volumes: when holding begins, and before they
/// get one ring more.
constexpr double most_at_begin = 0.25, most_later = 0.5;
/// Beyond it less than the gas law's room is taken from the melt, so that some always stays.
constexpr double crowded = 0.8;

/// The control volumes with gas of each pocket, by its number in the table.
std::vector<std::vector<std::size_t>> nodes_of_pockets(const State& s) {
  std::vector<std::vector<std::size_t>> nodes(s.air.pockets.size());
  for (std::size_t i = 0; i < s.hold.gas.size(); ++i)
    if (s.hold.gas.vector()[i] > 0.0)
      nodes[static_cast<std::size_t>(s.air.pocket.vector()[i])].push_back(i);
  return nodes;
}

}  // namespace

bool only_air_missing(const Setup& setup, const State& s) {
  if (s.air.pocket.size() == 0) return false;
  const PocketTable& t = s.air.pockets;
  for (std::size_t i = 0; i < s.fill.size(); ++i) {
    if (s.fill.vector()[i] >= 1.0 - full_share) continue;
    const double number = s.air.pocket.vector()[i];
    if (number < 0.0) return false;
    const auto p = static_cast<std::size_t>(number);
    if (!is_bubble(setup, t, p) && t.pressure[p] < held_share * s.injection_pressure) return false;
  }
  return true;
}

HeldGas::HeldGas(const Setup& setup, const ControlVolumes& volumes)
    : setup_(setup),
      volumes_(volumes),
      wall_(0.5 *
            (setup.process.mould_temperature_fixed + setup.process.mould_temperature_moving)) {
  if (setup.air.enabled) outlets_ = air_outlets(setup);
}

double HeldGas::volume(double mass, double pressure) const {
  return mass * air::gas_constant * wall_ / (pressure + air::room_pressure);
}

NodeMass HeldGas::beside(const NodeMass& full, double gas, std::size_t node,
                         double pressure) const {
  if (!(gas > 0.0)) return full;
  const double x = volume(gas, pressure) / volumes_.volume[node];
  constexpr double rest = 1.0 - crowded;
  const double bent = x > crowded ? std::exp(-(x - crowded) / rest) : 1.0;
  const double melt = x > crowded ? rest * bent : 1.0 - x;
  return {full.mass * melt,
          full.slope * melt + full.mass * bent * x / (pressure + air::room_pressure)};
}

/// Adds rings of full, open control volumes until the gas takes at most this share of all.
void HeldGas::spread(State& s, std::size_t pocket, std::vector<std::size_t> nodes, double most,
                     std::span<const std::uint8_t> open) const {
  std::vector<double>& gas = s.hold.gas.vector();
  std::vector<std::uint8_t> in(gas.size(), 0);
  double mass = 0.0, room = 0.0, hollow = 0.0;
  for (const std::size_t i : nodes) {
    in[i] = 1;
    mass += gas[i];
    room += volumes_.volume[i];
    hollow += s.hold.hollow.vector()[i];
  }
  for (std::size_t first = 0; hollow > most * room && first < nodes.size();) {
    const std::size_t last = nodes.size();
    for (; first < last; ++first)
      for (const Neighbour& k : volumes_.around(nodes[first])) {
        const auto j = static_cast<std::size_t>(k.node);
        if (in[j] != 0 || open[j] == 0 || gas[j] > 0.0 || j == index(setup_.model.injection))
          continue;
        if (s.hold.mode == HoldMode::not_begun && s.hold.mass.vector()[j] >= 0.0) continue;
        in[j] = 1;
        nodes.push_back(j);
        room += volumes_.volume[j];
      }
  }
  for (const std::size_t i : nodes) {
    const double share = volumes_.volume[i] / room;
    gas[i] = mass * share;
    s.hold.hollow.vector()[i] = hollow * share;
    s.air.pocket.vector()[i] = static_cast<double>(pocket);
  }
}

void HeldGas::begin(State& s) const {
  if (s.air.pocket.size() == 0) return;
  const PocketTable& t = s.air.pockets;
  std::vector<std::vector<std::size_t>> nodes(t.size());
  for (std::size_t i = 0; i < s.fill.size(); ++i) {
    const double number = s.air.pocket.vector()[i];
    const double empty = volumes_.volume[i] * (1.0 - s.fill.vector()[i]);
    if (number < 0.0 || !(empty > 0.0)) continue;
    const auto p = static_cast<std::size_t>(number);
    if (!(t.mass[p] > 0.0 && t.volume[p] > 0.0)) continue;
    s.hold.hollow.vector()[i] = empty;
    s.hold.gas.vector()[i] = t.mass[p] * empty / t.volume[p];
    nodes[p].push_back(i);
  }
  const std::vector<std::uint8_t> open(s.fill.size(), 1);
  for (std::size_t p = 0; p < nodes.size(); ++p)
    if (!nodes[p].empty()) spread(s, p, std::move(nodes[p]), most_at_begin, open);
}

void HeldGas::prepare(State& s, double dt, std::span<const std::uint8_t> open) const {
  std::vector<double>& gas = s.hold.gas.vector();
  auto pockets = nodes_of_pockets(s);
  for (std::size_t p = 0; p < pockets.size(); ++p) {
    std::vector<std::size_t>& nodes = pockets[p];
    std::erase_if(nodes, [&](std::size_t i) { return open[i] == 0; });
    double mass = 0.0, pressure = 0.0, room = 0.0;
    for (const std::size_t i : nodes) {
      mass += gas[i];
      room += volumes_.volume[i];
      pressure += volumes_.volume[i] * s.pressure.vector()[i];
    }
    if (!(room > 0.0)) continue;
    pressure /= room;
    double& peak = s.air.pockets.peak_pressure[p];
    peak = std::max(peak, pressure);
    double out = 0.0;
    for (const std::size_t i : nodes) {
      if (s.fill.vector()[i] >= 1.0) continue;  // melt has covered what leads out there
      for (const AirOutlets::Slit& slit : outlets_.of(i)) {
        const AirOutlets::Kind& kind = outlets_.kinds[static_cast<std::size_t>(slit.kind)];
        out +=
            dt * air::vent_outflow({slit.width, kind.depth, kind.land},
                                   pressure + air::room_pressure, air::room_pressure, wall_, wall_);
      }
    }
    out = std::min(out, mass);
    for (const std::size_t i : nodes) gas[i] *= 1.0 - out / mass;
    s.air.escaped += out;
    if (volume(mass - out, pressure) > most_later * room)
      spread(s, p, std::move(nodes), most_later, open);
  }
}

void HeldGas::note(State& s, std::span<const std::uint8_t> open) const {
  for (std::size_t i = 0; i < s.hold.gas.size(); ++i)
    if (s.hold.hollow.vector()[i] > 0.0 && open[i] != 0)
      s.hold.hollow.vector()[i] =
          std::min(volume(s.hold.gas.vector()[i], std::max(s.pressure.vector()[i], 0.0)),
                   volumes_.volume[i]);
}

}  // namespace firstshot
