// When filling goes over to holding, when it ends, and what is noted of each step.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/numeric/parallel.hpp"
#include "solver/stage/fill.hpp"

namespace firstshot {
namespace {

/// The attempt ends when the flow has fallen to this share of the set flow.
constexpr double dead_flow = 2e-3;
/// Volume left that counts as full.
constexpr double full_volume = 1e-9;
/// Bubbles that together hold no more than this share of the shot do not keep the fill going: the
/// step in which nothing but they moved gave all melt at rest the full holding pressure, and the
/// mould a third more force than holding had from its first steps on.
constexpr double carried_share = 1e-6;
/// Holding pressure when none is set, share of the pressure at switch-over (common practice, no
/// source).
constexpr double default_holding_share = 0.5;

}  // namespace

bool is_bubble(const Setup& setup, const PocketTable& pockets, std::size_t p) {
  return pockets.volume[p] > 0.0 && pockets.volume[p] < setup.air.smallest_pocket &&
         pockets.pressure[p] > 0.0;
}

double Fill::bubble_volume(const State& state) const {
  const PocketTable& t = state.air.pockets;
  double volume = 0.0;
  for (std::size_t p = 0; p < t.size(); ++p)
    if (is_bubble(setup_, t, p)) volume += t.volume[p];
  return volume;
}

double Fill::remaining_volume(const State& state) const {
  std::vector<double> left(state.fill.size());
  for (std::size_t i = 0; i < left.size(); ++i)
    left[i] = mobility_.volumes().volume[i] * (1.0 - state.fill.vector()[i]);
  return ordered_sum(left);
}

/// Mean solid share of the gap over full nodes that have an empty neighbour.
double Fill::front_solid_share(const State& state) const {
  const auto n = static_cast<std::size_t>(grid_.columns());
  double sum = 0.0;
  int count = 0;
  for (const auto& [a, b] : mobility_.volumes().edges) {
    const double fa = state.fill.vector()[a];
    const double fb = state.fill.vector()[b];
    if ((fa >= 1.0) == (fb >= 1.0)) continue;
    const auto full = static_cast<std::size_t>(fa >= 1.0 ? a : b);
    sum += grid_.share_below(std::span(state.temperature).subspan(full * n, n),
                             setup_.material.no_flow_temperature);
    ++count;
  }
  return count > 0 ? sum / count : 0.0;
}

/// What has stopped the melt once it hardly moves any more.
Outcome Fill::end_of_flow(const State& state) const {
  constexpr double held_share = 0.5;  // gas pressure of a pocket / pressure at the injection point
  constexpr double frozen_share = 0.5;
  const PocketTable& t = state.air.pockets;
  const double left = remaining_volume(state) - bubble_volume(state);
  double held = 0.0;
  for (std::size_t p = 0; p < t.size(); ++p)
    if (!is_bubble(setup_, t, p) && t.pressure[p] >= held_share * state.injection_pressure)
      held += t.volume[p];
  if (left <= full_volume * shot_volume_) return Outcome::filled;
  if (held > 0.5 * left) return Outcome::air;
  return front_solid_share(state) > frozen_share ? Outcome::frozen : Outcome::pressure_limit;
}

void Fill::switch_over_or_end(State& state) {
  const double left = remaining_volume(state);
  if (left <= full_volume * shot_volume_ ||
      (left <= carried_share * shot_volume_ &&
       left - bubble_volume(state) <= full_volume * shot_volume_)) {
    state.mode = FillMode::done;
    state.outcome = Outcome::filled;
    return;
  }
  const bool pressed = state.mode != FillMode::speed;
  if (pressed && nominal_flow_ > 0.0 && std::abs(state.flow_rate) < dead_flow * nominal_flow_) {
    state.outcome = end_of_flow(state);
    state.mode = FillMode::done;
    return;
  }
  if (state.time >= setup_.process.time_limit * (1.0 - 1e-12)) {
    state.outcome = Outcome::time_limit;
    state.mode = FillMode::done;
    return;
  }
  if (state.mode == FillMode::holding || setup_.process.constant_pressure > 0.0) return;
  const SwitchOver& s = setup_.process.switch_over;
  const double screw_area =
      0.25 * std::numbers::pi * setup_.press.screw_diameter * setup_.press.screw_diameter;
  const double share = state.injected / shot_volume_;
  constexpr double nearly = 1e-4;
  bool now = share >= most_by_speed - nearly;
  if (s.kind == SwitchOverKind::volume) now = now || share >= s.value - nearly;
  if (s.kind == SwitchOverKind::position) now = now || state.displaced >= s.value * screw_area;
  if (s.kind == SwitchOverKind::time) now = now || state.time >= s.value - 1e-9;
  if (s.kind == SwitchOverKind::pressure) now = now || state.injection_pressure >= s.value;
  if (!now) return;
  state.mode = FillMode::holding;
  state.switch_over_time = state.time;
  state.holding_pressure = setup_.process.holding.empty()
                               ? default_holding_share * state.injection_pressure
                               : setup_.process.holding.front().pressure;
}

HistoryEntry Fill::history(const State& state) const {
  HistoryEntry h;
  h.time = state.time;
  h.filled_fraction = state.injected / shot_volume_;
  h.flow_rate = state.flow_rate;
  h.injection_pressure = state.injection_pressure;
  h.opening_force = opening_force(state.pressure.span());
  return h;
}

double Fill::opening_force(std::span<const double> pressure) const {
  std::vector<double> force(plan_area_.size());
  for (std::size_t i = 0; i < force.size(); ++i) force[i] = plan_area_[i] * pressure[i];
  return ordered_sum(force);
}

}  // namespace firstshot
