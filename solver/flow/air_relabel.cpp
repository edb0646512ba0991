#include "solver/flow/air_relabel.hpp"

#include <algorithm>
#include <cstdint>
#include <utility>
#include <vector>

namespace firstshot {
namespace {

/// A piece of less than this share of the gas it came off may be carried along.
constexpr double carried_share = 0.05;

/// What a region got from a pocket of the last step.
struct Share {
  std::size_t pocket = 0;
  double volume = 0.0;
};
struct RegionOfGas {
  std::vector<std::size_t> nodes;
  std::vector<Share> from;
  double volume = 0.0;
  std::int64_t number = -1;  ///< of its pocket now, -1 = none
};

double gas_of(const ControlVolumes& v, std::span<const double> fill, std::size_t i) {
  return v.volume[i] * (1.0 - fill[i]);
}

RegionOfGas region_from(const ControlVolumes& v, std::span<const double> fill, std::size_t first,
                        std::vector<std::uint8_t>& seen) {
  RegionOfGas region;
  region.nodes.push_back(first);
  seen[first] = 1;
  for (std::size_t k = 0; k < region.nodes.size(); ++k)
    for (const Neighbour& next : v.around(region.nodes[k])) {
      const auto j = static_cast<std::size_t>(next.node);
      if (seen[j] != 0 || fill[j] >= 1.0) continue;
      seen[j] = 1;
      region.nodes.push_back(j);
    }
  std::sort(region.nodes.begin(), region.nodes.end());
  return region;
}

std::vector<RegionOfGas> regions_of_gas(const ControlVolumes& v, std::span<const double> fill,
                                        const AirState& air) {
  std::vector<RegionOfGas> regions;
  std::vector<std::uint8_t> seen(fill.size(), 0);
  for (std::size_t i = 0; i < fill.size(); ++i) {
    if (seen[i] != 0 || fill[i] >= 1.0) continue;
    RegionOfGas region = region_from(v, fill, i, seen);
    for (std::size_t node : region.nodes) {
      const double gas = gas_of(v, fill, node);
      region.volume += gas;
      const double old = air.pocket.vector()[node];
      if (old < 0.0) continue;
      const auto number = static_cast<std::size_t>(old);
      auto share = std::find_if(region.from.begin(), region.from.end(),
                                [&](const Share& s) { return s.pocket == number; });
      if (share == region.from.end()) share = region.from.insert(region.from.end(), {number, 0.0});
      share->volume += gas;
    }
    regions.push_back(std::move(region));
  }
  return regions;
}

double mass_from(const PocketTable& t, const std::vector<double>& whole, const Share& s) {
  return whole[s.pocket] > 0.0 ? t.mass[s.pocket] * (s.volume / whole[s.pocket]) : 0.0;
}

/// Every pocket's number goes to the region that got most of its gas, if that pocket gave most of
/// the region's gas.
void hand_on_numbers(const PocketTable& t, const std::vector<double>& whole,
                     std::vector<RegionOfGas>& regions) {
  std::vector<std::int64_t> heir(t.size(), -1);
  std::vector<double> heirs_volume(t.size(), 0.0);
  for (std::size_t r = 0; r < regions.size(); ++r) {
    const Share* main = nullptr;
    for (const Share& s : regions[r].from)
      if (main == nullptr || mass_from(t, whole, s) > mass_from(t, whole, *main)) main = &s;
    if (main == nullptr) continue;
    if (heir[main->pocket] >= 0 && heirs_volume[main->pocket] >= main->volume) continue;
    heir[main->pocket] = static_cast<std::int64_t>(r);
    heirs_volume[main->pocket] = main->volume;
  }
  for (std::size_t p = 0; p < heir.size(); ++p)
    if (heir[p] >= 0) regions[static_cast<std::size_t>(heir[p])].number = static_cast<long>(p);
}

std::size_t new_pocket(PocketTable& t, std::size_t like) {
  for_each_column(t, [&](const char*, const char*, std::vector<double>& column) {
    const double value = column[like];
    column.push_back(value);
  });
  return t.size() - 1;
}

/// Gas of several pockets in one region: masses add, heat mixes, pressure follows.
void mix(const RegionOfGas& region, const PocketTable& before, const std::vector<double>& whole,
         const RelabelRules& rules, PocketTable& t) {
  const auto k = static_cast<std::size_t>(region.number);
  double mass = 0.0, heat = 0.0;
  for (const Share& s : region.from) {
    const double m = mass_from(before, whole, s);
    mass += m;
    heat += m * before.temperature[s.pocket];
    const auto highest = [&](std::vector<double>& column, const std::vector<double>& old) {
      column[k] = std::max(column[k], old[s.pocket]);
    };
    highest(t.peak_pressure, before.peak_pressure);
    highest(t.peak_temperature, before.peak_temperature);
    highest(t.hot_time, before.hot_time);
    highest(t.hot_now, before.hot_now);
  }
  t.mass[k] = mass;
  if (region.from.size() < 2) return;  // came off one pocket: its pressure and temperature
  t.temperature[k] = heat / mass;
  t.pressure[k] =
      mass * rules.gas_constant * t.temperature[k] / region.volume - rules.room_pressure;
}

bool carried_along(const RegionOfGas& region, const PocketTable& t,
                   const std::vector<double>& whole, const RelabelRules& rules) {
  if (rules.smallest_pocket <= 0.0) return false;
  if (region.nodes.size() > 1 && region.volume >= rules.smallest_pocket) return false;
  return std::all_of(region.from.begin(), region.from.end(), [&](const Share& s) {
    return t.mass[s.pocket] <= 0.0 || s.volume < carried_share * whole[s.pocket];
  });
}

void carry_along(const RegionOfGas& region, const PocketTable& before,
                 const std::vector<double>& whole, AirState& air) {
  for (const Share& s : region.from) air.carried += mass_from(before, whole, s);
  for (std::size_t i : region.nodes) {
    const double old = air.pocket.vector()[i];
    if (old >= 0.0) air.gas_pressure.vector()[i] = before.pressure[static_cast<std::size_t>(old)];
  }
}

}  // namespace

void relabel(const ControlVolumes& volumes, std::span<const double> fill, double time,
             const RelabelRules& rules, AirState& air) {
  std::vector<RegionOfGas> regions = regions_of_gas(volumes, fill, air);
  PocketTable& t = air.pockets;
  const PocketTable before = t;
  std::vector<double> whole(t.size(), 0.0);
  std::vector<int> pieces(t.size(), 0);  // that stay pockets
  for (const RegionOfGas& r : regions)
    for (const Share& s : r.from) whole[s.pocket] += s.volume;
  hand_on_numbers(before, whole, regions);
  std::vector<std::uint8_t> carried(regions.size(), 0);
  for (std::size_t r = 0; r < regions.size(); ++r) {
    RegionOfGas& region = regions[r];
    if (region.from.empty()) continue;
    if (region.number < 0 && carried_along(region, before, whole, rules)) {
      carried[r] = 1;
      carry_along(region, before, whole, air);
      continue;
    }
    if (region.number < 0)
      region.number = static_cast<std::int64_t>(new_pocket(t, region.from.front().pocket));
    for (const Share& s : region.from) ++pieces[s.pocket];
  }
  std::vector<std::int64_t> went_to(before.size(), -1);
  for (std::size_t r = 0; r < regions.size(); ++r) {
    const RegionOfGas& region = regions[r];
    const bool gone = region.number < 0;
    for (std::size_t i : region.nodes)
      air.pocket.vector()[i] = gone ? -1.0 : static_cast<double>(region.number);
    if (gone) continue;
    const auto k = static_cast<std::size_t>(region.number);
    const bool split = std::any_of(region.from.begin(), region.from.end(),
                                   [&](const Share& s) { return pieces[s.pocket] > 1; });
    const bool whole_pocket = region.from.size() == 1 && !split &&
                              region.from.front().volume >= whole[region.from.front().pocket];
    if (!whole_pocket) mix(region, before, whole, rules, t);
    t.volume[k] = region.volume;
    if (split || region.from.size() > 1) {
      t.closed[k] = time;
      t.peak_squeeze[k] = 0.0;  // a piece takes its share of what the whole had to take
      for (const Share& s : region.from)
        t.peak_squeeze[k] += before.peak_squeeze[s.pocket] * (s.volume / whole[s.pocket]);
      t.closed_volume[k] = region.volume;
      t.closed_mass[k] = t.mass[k];
    }
    for (const Share& s : region.from)
      if (went_to[s.pocket] < 0 || s.pocket == k) went_to[s.pocket] = region.number;
  }
  for (std::size_t p = 0; p < before.size(); ++p) {
    if (went_to[p] < 0 || went_to[p] == static_cast<std::int64_t>(p)) continue;
    const bool kept = std::any_of(regions.begin(), regions.end(), [&](const RegionOfGas& r) {
      return r.number == static_cast<std::int64_t>(p);
    });
    if (kept) continue;
    t.mass[p] = 0.0;
    t.volume[p] = 0.0;
    t.ended[p] = time;
    t.merged_into[p] = static_cast<double>(went_to[p]);
  }
}

}  // namespace firstshot
