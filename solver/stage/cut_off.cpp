// What freezing cuts off while the cavity still fills. The fill is incompressible and leaves it at
// the pressure of the runner; here it keeps its mass, and its pressure falls as it cools. Melt that
// was cut off together still flows within itself (in some 20 ms through a frame, less through a
// part) and has one pressure.
#include <algorithm>
#include <cmath>

#include "solver/numeric/parallel.hpp"
#include "solver/stage/hold.hpp"

namespace firstshot {

double Hold::watch(State& s) {
  make_room(s);
  look_for_open();
  find_reached();
  for (std::size_t i = 0; i < reached_.size(); ++i) {
    double& mass = s.hold.mass.vector()[i];
    if (reached_[i] != 0 || s.fill.vector()[i] < 1.0 || mass >= 0.0) continue;
    const double p = std::max(s.pressure.vector()[i], 0.0);
    gap_mass_.prepare(i, s.temperature, p);
    mass = gap_mass_.at(i, p).mass;
  }
  level_cut_off(s);
  note_frozen(s, 0.0, pressure_, pressure_);
  return fill_.opening_force(pressure_);
}

/// Puts the pressures of `s` into pressure_, those of what is cut off by its mass, level where it
/// still flows.
void Hold::level_cut_off(State& s) {
  pressure_ = s.pressure.vector();
  const std::vector<double>& mass = s.hold.mass.vector();
  std::vector<std::uint8_t> taken(mass.size(), 0);
  std::vector<std::size_t> nodes, start{0};  // piece after piece
  for (std::size_t first = 0; first < mass.size(); ++first) {
    if (taken[first] != 0 || mass[first] < 0.0) continue;
    const std::size_t begin = nodes.size();
    nodes.push_back(first);
    taken[first] = 1;
    bool closed = true;
    for (std::size_t k = begin; k < nodes.size(); ++k) {
      const std::size_t i = nodes[k];
      for (const Neighbour& beside : volumes_.around(i)) {
        const auto j = static_cast<std::size_t>(beside.node);
        if (open_[i] == 0 && open_[j] == 0) continue;
        if (mass[j] < 0.0) {
          closed = false;  // a front inside it, or a way that opened again
        } else if (taken[j] == 0) {
          taken[j] = 1;
          nodes.push_back(j);
        }
      }
    }
    if (!closed)
      for (std::size_t k = begin + 1; k < nodes.size(); ++k) start.push_back(k);
    start.push_back(nodes.size());
  }
  parallel_for(start.size() - 1, [&](std::size_t piece) {
    share_pressure(s, std::span(nodes).subspan(start[piece], start[piece + 1] - start[piece]));
  });
}

/// One pressure at which these control volumes together hold their mass, 0 when they are loose; the
/// mass moves between them.
void Hold::share_pressure(State& s, std::span<const std::size_t> nodes) {
  constexpr int rounds = 30, passes = 2;  // the second with the domains of the pressure found
  constexpr double close = 1.0;           // [Pa]
  std::vector<double>& mass = s.hold.mass.vector();
  double all = 0.0, p = 0.0;
  for (const std::size_t i : nodes) {
    all += mass[i];
    p = std::max(p, s.pressure.vector()[i]);
  }
  double held = 0.0;
  for (int pass = 0; pass < passes; ++pass) {
    for (const std::size_t i : nodes) gap_mass_.prepare(i, s.temperature, p);
    for (int k = 0; k < rounds; ++k) {
      double slope = 0.0;
      held = 0.0;
      for (const std::size_t i : nodes) {
        const NodeMass m = gap_mass_.at(i, p);
        held += m.mass;
        slope += m.slope;
      }
      const double step = (all - held) / slope, before = p;
      p = std::max(p + step, 0.0);
      if (std::abs(p - before) < close) break;
    }
  }
  for (const std::size_t i : nodes) {
    pressure_[i] = p;
    if (nodes.size() > 1) mass[i] = gap_mass_.at(i, p).mass * all / held;
  }
}

}  // namespace firstshot
