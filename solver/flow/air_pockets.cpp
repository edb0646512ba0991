#include "solver/flow/air_pockets.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "solver/flow/air_gas.hpp"
#include "solver/flow/air_relabel.hpp"
#include "solver/flow/air_vent.hpp"
#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

constexpr double room = air::room_pressure;
/// First zero of J0, squared: slowest decay of temperature in a round channel [CarslawJaeger1959].
constexpr double round_decay = 5.783;

double decay(const ControlVolumes& v, std::size_t node) {
  const double half = v.half_gap[node];
  if (v.round[node] != 0) return round_decay / (half * half);
  return std::numbers::pi * std::numbers::pi / (4.0 * half * half);
}

struct Places {
  const ControlVolumes& volumes;
  const Model& model;
  std::span<const double> rim;  ///< (n_nodes) outer rim [m]
};

/// Where the gas of each active pocket is, and how much room it has.
template <class Active>
void note_places(const Places& places, const std::vector<Active>& active,
                 std::span<const double> fill, std::span<const std::int32_t> node_pocket,
                 PocketTable& t) {
  struct Gas {
    double volume = 0.0, largest = 0.0;
    double x = 0.0, y = 0.0;
    double rim = 0.0;
    std::size_t node = 0;
  };
  std::vector<Gas> gas(active.size());
  for (std::size_t i = 0; i < fill.size(); ++i) {
    if (node_pocket[i] < 0 || fill[i] >= 1.0) continue;
    Gas& g = gas[static_cast<std::size_t>(node_pocket[i])];
    const double volume = places.volumes.volume[i] * (1.0 - fill[i]);
    const Point3& at = places.model.position[make_id<NodeId>(i)];
    g.volume += volume;
    g.rim += places.rim[i];
    g.x += volume * at.x;
    g.y += volume * at.y;
    if (volume > g.largest) {
      g.largest = volume;
      g.node = i;
    }
  }
  for (std::size_t k = 0; k < active.size(); ++k) {
    const std::size_t p = active[k].number;
    t.volume[p] = gas[k].volume;
    if (!(gas[k].volume > 0.0)) continue;  // the last place stays
    t.x[p] = gas[k].x / gas[k].volume;
    t.y[p] = gas[k].y / gas[k].volume;
    t.node[p] = static_cast<double>(gas[k].node);
    t.rim[p] = gas[k].rim;
  }
}

}  // namespace

AirPockets::AirPockets(const Setup& setup, const ControlVolumes& volumes)
    : setup_(setup),
      volumes_(volumes),
      outlets_(air_outlets(setup)),
      rim_(parting_line_length(setup.model)),
      wall_(0.5 * (setup.process.mould_temperature_fixed + setup.process.mould_temperature_moving)),
      node_pocket_(volumes.n_nodes(), -1) {}

AirState AirPockets::start() const {
  const std::size_t n = volumes_.n_nodes();
  AirState air;
  air.pocket = NodeField<double>(n, 0.0);
  air.gas_pressure = NodeField<double>(n, 0.0);
  air.exit_energy = NodeField<double>(n, 0.0);
  PocketTable& t = air.pockets;
  for_each_column(t, [](const char*, const char*, std::vector<double>& c) { c.assign(1, 0.0); });
  t.volume[0] = t.closed_volume[0] = ordered_sum(volumes_.volume);
  t.temperature[0] = t.peak_temperature[0] = wall_;
  t.mass[0] = t.closed_mass[0] = room * t.volume[0] / (air::gas_constant * wall_);
  t.ended[0] = t.merged_into[0] = -1.0;
  return air;
}

void AirPockets::begin(AirState& air, std::span<const double> fill, double time, double dt) {
  dt_ = dt;
  fill_before_.assign(fill.begin(), fill.end());
  relabel(volumes_, fill, time, {setup_.air.smallest_pocket, air::room_pressure, air::gas_constant},
          air);
  const PocketTable& t = air.pockets;
  active_.clear();
  std::vector<std::int32_t> slot(t.size(), -1);
  for (std::size_t i = 0; i < fill.size(); ++i) {
    const double number = air.pocket.vector()[i];
    node_pocket_[i] = -1;
    if (number < 0.0 || fill[i] >= 1.0) continue;
    const auto p = static_cast<std::size_t>(number);
    if (slot[p] < 0) {
      slot[p] = static_cast<std::int32_t>(active_.size());
      active_.push_back({p, t.mass[p], t.temperature[p], t.pressure[p], t.volume[p], 0.0, {}});
      for (std::size_t kind = 0; kind < outlets_.kinds.size(); ++kind)
        active_.back().slits.push_back({static_cast<std::int32_t>(kind), 0.0});
    }
    node_pocket_[i] = slot[p];
    Active& pocket = active_[static_cast<std::size_t>(slot[p])];
    pocket.loss += volumes_.volume[i] * (1.0 - fill[i]) * decay(volumes_, i);
    for (const AirOutlets::Slit& s : outlets_.of(i))
      pocket.slits[static_cast<std::size_t>(s.kind)].width += s.width;
  }
  for (Active& pocket : active_) {
    // A bubble smaller than the wall gives its heat away over its own radius.
    const double radius = std::cbrt(0.75 * pocket.volume / std::numbers::pi);
    pocket.loss = std::max(pocket.loss / pocket.volume,
                           std::numbers::pi * std::numbers::pi / (radius * radius));
    std::erase_if(pocket.slits, [](const AirOutlets::Slit& s) { return !(s.width > 0.0); });
  }
  // A pocket that is born and gone within one step has a place too.
  note_places(Places{volumes_, setup_.model, rim_}, active_, fill, node_pocket_, air.pockets);
}

double AirPockets::outflow(const AirOutlets::Slit& slit, double absolute,
                           double temperature) const {
  const AirOutlets::Kind& kind = outlets_.kinds[static_cast<std::size_t>(slit.kind)];
  return air::vent_outflow({slit.width, kind.depth, kind.land}, absolute, room, wall_, temperature);
}

double AirPockets::outflow(const Active& pocket, double gauge) const {
  double sum = 0.0;
  for (const AirOutlets::Slit& s : pocket.slits)
    sum += outflow(s, gauge + room, pocket.temperature);
  return sum;
}

double AirPockets::temperature_at(const Active& pocket, double gauge) const {
  const double after = gauge + room;
  const double tau = 1.0 / (pocket.loss * air::diffusivity(pocket.temperature, after));
  return air::temperature_after(pocket.temperature, pocket.pressure + room, after, wall_,
                                tau / dt_);
}

double AirPockets::gas_volume(std::size_t k, double gauge) const {
  const Active& pocket = active_[k];
  const double mass = pocket.mass - dt_ * outflow(pocket, gauge);
  return mass * air::gas_constant * temperature_at(pocket, gauge) / (gauge + room);
}

double AirPockets::expulsion_pressure(std::size_t k) const {
  const Active& pocket = active_[k];
  if (pocket.slits.empty()) return std::numeric_limits<double>::infinity();
  constexpr double highest = 1e12;  // [Pa]; nothing comes near
  double low = 0.0, high = 1e5;
  while (dt_ * outflow(pocket, high) < pocket.mass && high < highest) high *= 2.0;
  constexpr int halvings = 100;
  for (int i = 0; i < halvings && high - low > 1e-12 * high; ++i) {
    const double middle = 0.5 * (low + high);
    (dt_ * outflow(pocket, middle) < pocket.mass ? low : high) = middle;
  }
  return high;
}

void AirPockets::book(AirState& state, const Active& pocket, double pressure, double volume,
                      double end) const {
  PocketTable& t = state.pockets;
  const std::size_t p = pocket.number;
  const bool gone = !(volume > 0.0);
  const double left = gone ? pocket.mass : std::min(pocket.mass, dt_ * outflow(pocket, pressure));
  state.escaped += left;
  t.mass[p] = gone ? 0.0 : pocket.mass - left;
  t.volume[p] = volume;
  t.pressure[p] = pressure;
  t.temperature[p] = temperature_at(pocket, pressure);
  t.peak_pressure[p] = std::max(t.peak_pressure[p], pressure);
  t.peak_temperature[p] = std::max(t.peak_temperature[p], t.temperature[p]);
  t.peak_squeeze[p] = std::max(t.peak_squeeze[p], (pocket.volume - volume) / dt_);
  t.hot_now[p] = t.temperature[p] >= setup_.air.scorch_temperature ? t.hot_now[p] + dt_ : 0.0;
  t.hot_time[p] = std::max(t.hot_time[p], t.hot_now[p]);
  if (gone) t.ended[p] = end;
}

/// Energy of the gas that leaves at each node, counted from air of the room at the walls'
/// temperature: its heat, and the work it can do on expanding, per mass h(T) - h(Tw) + R Tw ln
/// p/p0.
void AirPockets::book_exits(AirState& state, std::span<const std::int32_t> node_pocket,
                            std::span<const double> pressure) const {
  for (std::size_t i = 0; i < node_pocket_.size(); ++i) {
    if (node_pocket_[i] < 0 || node_pocket[i] < 0) continue;
    const Active& pocket = active_[static_cast<std::size_t>(node_pocket_[i])];
    const double absolute = pressure[static_cast<std::size_t>(node_pocket_[i])] + room;
    if (absolute <= room || !std::isfinite(absolute)) continue;
    double left = 0.0;
    for (const AirOutlets::Slit& s : outlets_.of(i))
      left += outflow(s, absolute, pocket.temperature);
    if (left <= 0.0) continue;
    const double T = state.pockets.temperature[pocket.number];
    const double whole = dt_ * outflow(pocket, absolute - room);
    const double limited = whole > pocket.mass ? pocket.mass / whole : 1.0;
    state.exit_energy.vector()[i] += limited * dt_ * left *
                                     (air::enthalpy(T) - air::enthalpy(wall_) +
                                      air::gas_constant * wall_ * std::log(absolute / room));
  }
}

void AirPockets::finish(AirState& state, std::span<const double> fill,
                        std::span<const std::int32_t> node_pocket, std::span<const double> pressure,
                        double time) const {
  for (std::size_t i = 0; i < fill.size(); ++i) {
    const std::int32_t k = node_pocket[i];
    const bool full = fill[i] >= 1.0;
    state.pocket.vector()[i] =
        k >= 0 && !full ? static_cast<double>(active_[static_cast<std::size_t>(k)].number) : -1.0;
    if (full)
      state.gas_pressure.vector()[i] = 0.0;
    else if (k >= 0)
      state.gas_pressure.vector()[i] = pressure[static_cast<std::size_t>(k)];
  }
  note_places(Places{volumes_, setup_.model, rim_}, active_, fill, node_pocket, state.pockets);
  for (std::size_t k = 0; k < active_.size(); ++k) {
    const double held = std::isfinite(pressure[k]) ? pressure[k] : active_[k].pressure;
    book(state, active_[k], held, state.pockets.volume[active_[k].number], time + dt_);
  }
  book_exits(state, node_pocket, pressure);
}

}  // namespace firstshot
