#include "solver/assess/slowest_piece.hpp"

#include <algorithm>
#include <limits>

namespace firstshot {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();
constexpr double tenth_thinner = 0.9;

/// How a band of a cooling time comes about.
struct Doubt {
  double detached, conductivity;
};
// From memory, unconfirmed: contact after shrinking away; diffusivity 8.0 to 9.5e-8 m²/s around
// 8.8e-8.
constexpr Doubt quick = {5e3, 1.08}, slow = {1e3, 0.92};

/// A change against the run: other figures, another criterion, another size of the place [-].
struct Change {
  Doubt doubt;
  EjectionLimit limit;
  double size = 1.0;
};

/// Time at which one node that is full of fresh melt at time 0 may be ejected [s].
double fresh_time(const CooledShot& shot, std::size_t node, const Change& change) {
  Material material = shot.setup.material;
  material.conductivity *= change.doubt.conductivity;
  CoolingWalls walls = cooling_walls(shot.setup);
  walls.detached = std::min(change.doubt.detached, walls.contact);
  const Enthalpy enthalpy(material.heat_capacity);
  CoolingColumn column(shot.grid, material, enthalpy, walls);
  std::vector<double> temperature(static_cast<std::size_t>(shot.grid.columns()),
                                  shot.setup.process.melt_temperature);
  const double density = shot.mass[node] / shot.volumes.volume[node];
  const CoolingPlace place{change.size * shot.volumes.half_gap[node],
                           shot.volumes.round[node] != 0,
                           1.0 / density,
                           false,
                           density,
                           shot.volumes.contact[node]};
  return column.cool(place, change.limit, 0.0, never, temperature).ejectable;
}

/// The same place as the run had it.
Change unchanged(const CooledShot& shot, const EjectionLimit& limit) {
  return {{shot.setup.cooling.detached_conductance, 1.0}, limit, 1.0};
}

/// When the piece may be ejected after a change [s].
double changed_time(const CooledShot& shot, const CooledPiece& piece, const EjectionLimit& limit,
                    const Change& change) {
  return piece.ejectable + fresh_time(shot, piece.node, change) -
         fresh_time(shot, piece.node, unchanged(shot, limit));
}

const CooledPiece* slowest(const std::vector<CooledPiece>& pieces) {
  const auto it = std::max_element(
      pieces.begin(), pieces.end(),
      [](const CooledPiece& a, const CooledPiece& b) { return a.ejectable < b.ejectable; });
  return it == pieces.end() || it->ejectable < 0.0 ? nullptr : &*it;
}

}  // namespace

SlowestTimes slowest_times(const CooledShot& shot, const std::vector<CooledPiece>& pieces,
                           const EjectionLimit& limit) {
  SlowestTimes s;
  const CooledPiece* piece = slowest(pieces);
  if (piece == nullptr) return s;
  const Change none = unchanged(shot, limit);
  const auto changed = [&](const Doubt& doubt, const EjectionLimit& by, double size) {
    return changed_time(shot, *piece, limit, {doubt, by, size});
  };
  s.time.value = piece->ejectable;
  s.time.low = std::min(piece->ejectable, changed(quick, limit, 1.0));
  s.time.high = std::max(piece->ejectable, changed(slow, limit, 1.0));
  s.by_mean = changed(none.doubt, {EjectionCriterion::mean, limit.temperature}, 1.0);
  s.thinner = changed(none.doubt, limit, tenth_thinner);
  return s;
}

std::optional<DecidingPiece> deciding_piece(const CooledShot& shot,
                                            const std::vector<CooledPiece>& parts,
                                            const std::vector<CooledPiece>& channels,
                                            double ready) {
  const CooledPiece *part = slowest(parts), *channel = slowest(channels);
  const bool of_parts =
      channel == nullptr || (part != nullptr && part->ejectable > channel->ejectable);
  const CooledPiece* late = of_parts ? part : channel;
  if (late == nullptr || late->ejectable <= ready) return std::nullopt;
  DecidingPiece d;
  d.piece = *late;
  d.next = "the screw";
  double rest = ready;
  for (const auto* list : {&parts, &channels})
    for (const CooledPiece& p : *list)
      if (p.node != late->node && p.ejectable > rest) {
        rest = p.ejectable;
        d.next = p.name;
      }
  const EjectionLimit& limit = of_parts ? shot.setup.cooling.parts : shot.setup.cooling.runners;
  const auto at_size = [&](double size) {
    Change thinner = unchanged(shot, limit);
    thinner.size = size;
    return changed_time(shot, *late, limit, thinner);
  };
  d.tenth_saves = late->ejectable - std::max(rest, at_size(tenth_thinner));
  d.enough_saves = late->ejectable - rest;
  constexpr double smallest = 0.05;  // of its size
  constexpr int halvings = 10;
  double low = smallest, high = 1.0;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    (at_size(middle) > rest ? high : low) = middle;
  }
  d.enough = low;
  return d;
}

}  // namespace firstshot
