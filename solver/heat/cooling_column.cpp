#include "solver/heat/cooling_column.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

/// Steps in share of the time H²/a that heat takes through half the gap.
constexpr double first_step = 5e-4, longest_step = 0.03, growth = 1.25;
constexpr double longest_cold_step = 0.15;  // once it may be ejected: what is left fades away
constexpr double round_steps = 0.5;         // a cylinder cools about twice as fast as a slab
constexpr int most_newton = 4;
/// A correction of this size leaves its square times c'/2c: below 1e-4 K even where the heat
/// capacity rises by a third in 10 K.
constexpr double newton_tolerance = 0.03;  // [K]

// TR-BDF2: the first stage reaches to γ of the step; both have the same weight of the new flow.
constexpr double gamma = 2.0 - std::numbers::sqrt2;
constexpr double weight_new = 0.5 * gamma;
constexpr double of_first = 1.0 / (gamma * (2.0 - gamma));
constexpr double of_start = (1.0 - gamma) * (1.0 - gamma) / (gamma * (2.0 - gamma));

}  // namespace

CoolingColumn::CoolingColumn(const GapGrid& grid, const Material& material,
                             const Enthalpy& enthalpy, const CoolingWalls& walls)
    : grid_(grid), material_(material), enthalpy_(enthalpy), walls_(walls) {
  const auto n = static_cast<std::size_t>(grid.columns());
  for (auto* v :
       {&share_, &between_, &held_, &right_, &now_, &gain_, &before_, &lower_, &diagonal_, &rhs_})
    v->assign(n, 0.0);
}

void CoolingColumn::set_conductances(const CoolingPlace& place, bool detached) {
  const int n = grid_.columns();
  const double k = material_.conductivity;
  const double halves = grid_.walls_differ() ? 2.0 : 1.0;
  // Surface at ζ = 1 per volume: 1/H (slit, both walls together), 2/R (round).
  const double wall_area = (place.round ? 2.0 : 1.0) / (place.half_gap * halves);
  for (int c = 0; c < n; ++c) {
    share_[c] = grid_.share(c, place.round);
    if (c + 1 == n) break;
    const double area = place.round ? wall_area * std::abs(grid_.column_border(c + 1)) : wall_area;
    const double distance = grid_.column_centre(c + 1) - grid_.column_centre(c);
    between_[c] = k * area / (place.half_gap * distance);
  }
  const double wall_layer = place.half_gap * (1.0 - grid_.border(grid_.layers() - 1));
  const double contact = place.contact * (detached ? walls_.detached : walls_.contact);
  const double series = wall_area / (1.0 / contact + 0.5 * wall_layer / k);
  // With one column for both halves, each wall takes half.
  wall_moving_ = grid_.walls_differ() ? series : 0.5 * series;
  wall_fixed_ = wall_moving_;
}

/// Heat that flows into each layer per volume of melt [W/m³].
void CoolingColumn::flows(std::span<const double> temperature, std::span<double> gain) const {
  const std::size_t n = temperature.size();
  std::fill(gain.begin(), gain.end(), 0.0);
  for (std::size_t c = 0; c + 1 < n; ++c) {
    const double q = between_[c] * (temperature[c] - temperature[c + 1]);
    gain[c] -= q;
    gain[c + 1] += q;
  }
  const std::size_t first = grid_.walls_differ() ? 0 : n - 1;
  gain[first] -= wall_fixed_ * (temperature[first] - walls_.fixed);
  gain[n - 1] -= wall_moving_ * (temperature[n - 1] - walls_.moving);
}

/// Finds now_ with held heat ρ s h(T) - weight · flow(T) = right_, from the guess in now_.
void CoolingColumn::solve_stage(double weight) {
  const auto n = static_cast<int>(now_.size());
  const double rho = density_;
  const int first = grid_.walls_differ() ? 0 : n - 1;
  for (int k = 0; k < most_newton; ++k) {
    // Rows of the tridiagonal system are made and eliminated in one go; diagonal_ keeps 1 / pivot.
    double below = 0.0, from_below = 0.0, pivot_inverse = 0.0, rhs = 0.0;
    for (int c = 0; c < n; ++c) {
      const double above = c + 1 < n ? between_[c] : 0.0;
      const double to_above = c + 1 < n ? above * (now_[c] - now_[c + 1]) : 0.0;
      double loss = below + above;
      double gain = from_below - to_above;
      if (c == first) {
        loss += wall_fixed_;
        gain -= wall_fixed_ * (now_[c] - walls_.fixed);
      }
      if (c == n - 1) {
        loss += wall_moving_;
        gain -= wall_moving_ * (now_[c] - walls_.moving);
      }
      const HeatContent held = enthalpy_.content(now_[c]);
      const double mass = rho * share_[c];
      lower_[c] = -weight * below;
      const double m = lower_[c] * pivot_inverse;
      rhs = right_[c] - mass * held.heat + weight * gain - m * rhs;
      pivot_inverse = 1.0 / (mass * held.capacity + weight * loss - m * lower_[c]);
      diagonal_[c] = pivot_inverse;
      rhs_[c] = rhs;
      below = above;
      from_below = to_above;
    }
    double largest = 0.0, next = 0.0;
    for (int c = n - 1; c >= 0; --c) {
      const double up = c + 1 < n ? lower_[c + 1] * next : 0.0;
      next = (rhs_[c] - up) * diagonal_[c];
      now_[c] += next;
      largest = std::max(largest, std::abs(next));
    }
    if (largest < newton_tolerance) break;
  }
  flows(now_, gain_);
}

/// One step; held_ is the heat of each layer and is kept in step with the flows.
double CoolingColumn::step(double dt, std::span<double> temperature, CooledColumn& out) {
  const std::size_t n = temperature.size();
  const std::size_t first = grid_.walls_differ() ? 0 : n - 1;
  const auto to_walls = [&](std::span<const double> T, double time) {
    out.heat_fixed += time * wall_fixed_ * (T[first] - walls_.fixed);
    out.heat_moving += time * wall_moving_ * (T[n - 1] - walls_.moving);
  };
  flows(temperature, gain_);
  to_walls(temperature, of_first * weight_new * dt);
  before_ = held_;
  for (std::size_t c = 0; c < n; ++c) right_[c] = held_[c] + weight_new * dt * gain_[c];
  std::copy(temperature.begin(), temperature.end(), now_.begin());
  solve_stage(weight_new * dt);
  to_walls(now_, of_first * weight_new * dt);
  for (std::size_t c = 0; c < n; ++c) {
    const double middle = right_[c] + weight_new * dt * gain_[c];
    right_[c] = of_first * middle - of_start * before_[c];
    now_[c] += (now_[c] - temperature[c]) * (1.0 - gamma) / gamma;
  }
  solve_stage(weight_new * dt);
  to_walls(now_, weight_new * dt);
  for (std::size_t c = 0; c < n; ++c) held_[c] = right_[c] + weight_new * dt * gain_[c];
  std::copy(now_.begin(), now_.end(), temperature.begin());
  return dt;
}

double CoolingColumn::mean(std::span<const double> temperature) const {
  double sum = 0.0;
  for (std::size_t c = 0; c < temperature.size(); ++c) sum += share_[c] * temperature[c];
  return sum;
}

double CoolingColumn::judged(const EjectionLimit& limit,
                             std::span<const double> temperature) const {
  if (limit.criterion == EjectionCriterion::mean) return mean(temperature);
  return *std::max_element(temperature.begin(), temperature.end());
}

bool CoolingColumn::lets_go(const CoolingPlace& place, std::span<const double> temperature) const {
  if (!(place.sealed_volume > 0.0)) return false;
  double volume = 0.0;
  for (std::size_t c = 0; c < temperature.size(); ++c)
    volume += share_[c] * specific_volume(material_.pvt, temperature[c], 0.0);
  return volume <= place.sealed_volume;
}

CooledColumn CoolingColumn::cool(const CoolingPlace& place, const EjectionLimit& limit,
                                 double start, double end, std::span<double> temperature) {
  CooledColumn out;
  bool detached = place.detached;
  density_ = place.density > 0.0 ? place.density : material_.density_melt;
  set_conductances(place, detached);
  const double rho = density_;
  for (std::size_t c = 0; c < temperature.size(); ++c)
    held_[c] = rho * share_[c] * enthalpy_.at(temperature[c]);
  const bool until_limit = !std::isfinite(end);
  const double last = until_limit ? start + most_time : end;
  const double coldest = std::min(walls_.fixed, walls_.moving);
  double t = start, share = first_step;
  double now = judged(limit, temperature);
  if (now <= limit.temperature) {
    out.ejectable = start;
    share = longest_step;  // it has cooled for a while: no jump at the wall to resolve
  }
  while (t < last && !(until_limit && out.ejectable >= 0.0)) {
    if (!detached && lets_go(place, temperature)) {
      detached = true;
      out.detached = t;
      set_conductances(place, true);
    }
    const double heat = rho * enthalpy_.capacity(mean(temperature));
    const double scale = place.half_gap * place.half_gap * heat / material_.conductivity *
                         (place.round ? round_steps : 1.0);
    const double dt = std::min(share * scale, last - t);
    share = std::min(share * growth, out.ejectable < 0.0 ? longest_step : longest_cold_step);
    step(dt, temperature, out);
    const double then = judged(limit, temperature);
    if (out.ejectable < 0.0 && then <= limit.temperature) {
      // The way to the wall's temperature is exponential in time.
      const double total = std::log((now - coldest) / std::max(then - coldest, 1e-9));
      const double part = std::log((now - coldest) / std::max(limit.temperature - coldest, 1e-9));
      out.ejectable = t + dt * (total > 0.0 ? std::clamp(part / total, 0.0, 1.0) : 1.0);
    }
    now = then;
    t += dt;
  }
  out.time = t;
  return out;
}

}  // namespace firstshot
