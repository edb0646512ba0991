#include "solver/stage/hold.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "solver/heat/inverse_viscosity.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/stage/hold_fields.hpp"

namespace firstshot {
namespace {

/// A step lasts at most this over the number of volume steps, of the time since the last event: a
/// fifth of it at 60 volume steps, a tenth at 120. With steps of a third gates froze 8 % late.
constexpr double growth_by_volume_steps = 12.0;
/// First step after an event, at 120 volume steps: pressure spreads through a frame in about 20 ms.
constexpr double first_step = 2e-3;
/// The same after the press has changed its pressure in holding, when most of the way is solid.
constexpr double later_first_step = 5.0 * first_step;
/// Where nothing is left to turn solid.
constexpr double all_solid = 1.0 - 1e-9;
/// The last share of holding is one step, not a step and a splinter.
constexpr double splinter = 1e-6;

std::vector<double> part_shares(const Model& model, const std::vector<double>& volume) {
  std::vector<double> share(volume.size(), 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    if (model.regions[static_cast<std::size_t>(model.mesh.region[id])].role != Role::part) continue;
    const auto areas = lifted_corner_areas(model.mesh, id);
    for (std::size_t c = 0; c < 3; ++c)
      share[index(model.node_of_vertex[model.mesh.triangles[id][c]])] +=
          areas[c] * model.thickness[id];
  }
  for (std::size_t i = 0; i < share.size(); ++i) share[i] /= volume[i];
  return share;
}

double hottest(const std::vector<double>& temperature, std::size_t node, std::size_t n) {
  const auto first = temperature.begin() + static_cast<std::ptrdiff_t>(node * n);
  return *std::max_element(first, first + static_cast<std::ptrdiff_t>(n));
}

}  // namespace

Hold::Hold(const Setup& setup, Fill& fill)
    : setup_(setup),
      fill_(fill),
      volumes_(fill.volumes()),
      gap_mass_(fill.volumes(), fill.grid(), setup.material.pvt),
      held_gas_(setup, fill.volumes()),
      part_share_(part_shares(setup.model, fill.volumes().volume)) {
  constexpr double usual_steps = 120.0;
  const double steps = setup.accuracy.volume_steps;
  growth_ = growth_by_volume_steps / steps;
  finer_ = usual_steps / steps;
  const std::size_t n = volumes_.n_nodes();
  unknown_.resize(n);
  ones_.assign(n, 1.0);
  conductance_.resize(volumes_.edges.size());
  mass_conductance_.resize(volumes_.edges.size());
  flux_.resize(volumes_.edges.size());
  for (auto* v :
       {&gradient_, &neutral_, &pressure_, &solution_, &diagonal_, &right_, &core_before_})
    v->resize(n);
  mass_.resize(n);
  attached_.resize(n);
  loose_before_.resize(n);
  departures_.resize(n);
  open_.resize(n);
}

void Hold::make_room(State& s) const {
  if (!s.hold.mass.empty()) return;
  const std::size_t n = volumes_.n_nodes();
  constexpr double not_cut_off = -1.0;
  HoldState& h = s.hold;
  h.mass = NodeField<double>(n, not_cut_off);
  h.solid = h.frozen = h.linear = h.gas = h.hollow = NodeField<double>(n, 0.0);
  h.freeze = h.zero = h.ejectable = NodeField<double>(n, -1.0);
}

void Hold::look_for_open() {
  const auto n = static_cast<std::size_t>(fill_.grid().columns());
  parallel_for(open_.size(), [&](std::size_t i) {
    const auto first = fill_.inverse().begin() + static_cast<std::ptrdiff_t>(i * n);
    open_[i] =
        std::any_of(first, first + static_cast<std::ptrdiff_t>(n), [](double e) { return e > 0.0; })
            ? 1
            : 0;
  });
}

void Hold::begin(State& s) {
  make_room(s);
  HoldState& h = s.hold;
  h.mode = HoldMode::pressing;
  h.start = s.time;
  h.event = s.time;
  if (s.switch_over_time < 0.0) {
    s.switch_over_time = s.time;
    s.holding_pressure = setup_.process.holding.empty() ? s.injection_pressure
                                                        : setup_.process.holding.front().pressure;
  }
  for (double& p : s.pressure.vector()) p = std::max(p, 0.0);
  held_gas_.begin(s);
  find_viscosity(s);
  level_cut_off(s);
  s.pressure.vector() = pressure_;
  gap_mass_.prepare(s.temperature, s.pressure.span());
  for (std::size_t i = 0; i < volumes_.n_nodes(); ++i) {
    double& mass = h.mass.vector()[i];
    if (mass >= 0.0) continue;
    mass = gap_mass_.at(i, pressure_[i]).mass *
           (h.hollow.vector()[i] > 0.0 ? 1.0 - h.hollow.vector()[i] / volumes_.volume[i]
                                       : s.fill.vector()[i]);
  }
  h.begin = s.pressure;
  h.start_mass = ordered_sum(h.mass.vector());
  find_viscosity(s);
  note_frozen(s, 0.0, pressure_, pressure_);
  note_masses(s);
}

double Hold::profile_start(const State& s) const { return s.switch_over_time; }

double Hold::set_pressure(const State& s, double time) const {
  if (s.hold.mode != HoldMode::pressing) return 0.0;
  if (setup_.process.holding.empty()) return s.holding_pressure;
  double end = profile_start(s);
  for (const HoldingStep& step : setup_.process.holding) {
    end += step.duration;
    if (time < end * (1.0 - splinter)) return step.pressure;
  }
  return 0.0;
}

double Hold::step_length(const State& s) const {
  const double least = finer_ * (s.hold.event > s.hold.start ? later_first_step : first_step);
  double dt = std::max(least, growth_ * (s.time - s.hold.event));
  dt = std::min(dt, s.hold.start + longest_hold - s.time);
  if (s.hold.mode != HoldMode::pressing) return dt;
  // Steps end where the set pressure changes.
  double end = profile_start(s);
  for (const HoldingStep& step : setup_.process.holding) {
    end += step.duration;
    const double left = end - s.time;
    if (left > splinter * end && left < dt * (1.0 + growth_)) dt = left;
  }
  return dt;
}

void Hold::step(State& s) {
  const double dt = step_length(s);
  const std::vector<double> pressure_before = s.pressure.vector();
  const auto n = static_cast<std::size_t>(fill_.grid().columns());
  parallel_for(core_before_.size(),
               [&](std::size_t i) { core_before_[i] = hottest(s.temperature, i, n); });
  if (!setup_.isothermal) {
    find_viscosity(s);  // what the last flow went by, from the State alone
    heat(s, dt);
  }
  find_viscosity(s);
  held_gas_.prepare(s, dt, open_);
  gap_mass_.prepare(s.temperature, s.pressure.span());
  if (!solve(s, dt)) {
    char text[120];
    std::snprintf(text, sizeof text, "the pressures of holding did not settle at t = %.6g s",
                  s.time);
    throw SolveError(text);
  }
  take_over(s, dt);
  held_gas_.note(s, open_);
  s.time += dt;
  ++s.step;
  s.last_dt = dt;
  note_frozen(s, dt, pressure_before, s.pressure.span());
  note_masses(s);
  go_on(s);
}

void Hold::heat(State& s, double dt) {
  fill_.mobility().node_gradient(mobility_state(s), gradient_);
  fill_.mobility().node_neutral(mobility_state(s), neutral_);
  SweepInput in;
  in.dt = dt;
  in.fill_before = ones_;
  in.fill_after = ones_;
  in.pressure = s.pressure.span();
  in.flux = s.flux;
  in.inverse = fill_.inverse();
  in.gradient = gradient_;
  in.neutral = neutral_;
  in.inlet = index(setup_.model.injection);
  in.inlet_flow = s.flow_rate;
  in.stores_melt = true;
  in.let_go = s.hold.zero.span();
  fill_.sweep().advance(in, s.temperature, s.shear_rate.span());
}

void Hold::find_viscosity(const State& s) {
  inverse_viscosity(setup_.material, fill_.grid(), mould_contact(setup_),
                    {s.temperature, s.pressure.span(), volumes_.half_gap, ones_, volumes_.contact},
                    fill_.inverse());
  look_for_open();
}

void Hold::take_over(State& s, double dt) {
  const std::size_t inlet = index(setup_.model.injection);
  parallel_for(pressure_.size(),
               [&](std::size_t i) { s.hold.mass.vector()[i] = new_mass(s, i, dt); });
  s.hold.injected_mass += inflow_ * dt;
  s.flow_rate = inflow_ / gap_mass_.moving_density()[inlet];
  s.displaced += s.flow_rate * dt + compliance_ * (pressure_[inlet] - s.injection_pressure);
  s.injection_pressure = pressure_[inlet];
  s.peak_pressure = std::max(s.peak_pressure, s.injection_pressure);
  s.pressure.vector() = pressure_;
  s.flux = flux_;
}

/// For the cycle (stage/cool): thin places are cold before this stage ends.
void Hold::note_ejectable(State& s, double dt, std::size_t i) const {
  double& ejectable = s.hold.ejectable.vector()[i];
  if (ejectable >= 0.0) return;
  const auto n = static_cast<std::size_t>(fill_.grid().columns());
  const EjectionLimit& limit = part_share_[i] > 0.0 ? setup_.cooling.parts : setup_.cooling.runners;
  const double after = hottest(s.temperature, i, n);
  if (limit.criterion == EjectionCriterion::core) {
    if (after > limit.temperature) return;
    const double fall = core_before_[i] - after, past = limit.temperature - after;
    ejectable = s.time - (fall > 0.0 ? dt * std::clamp(past / fall, 0.0, 1.0) : 0.0);
    return;
  }
  double mean = 0.0;
  for (std::size_t c = 0; c < n; ++c)
    mean +=
        fill_.grid().share(static_cast<int>(c), volumes_.round[i] != 0) * s.temperature[i * n + c];
  if (mean <= limit.temperature) ejectable = s.time;
}

void Hold::note_frozen(State& s, double dt, std::span<const double> pressure_before,
                       std::span<const double> pressure) const {
  const auto n = static_cast<std::size_t>(fill_.grid().columns());
  const TaitPvt& pvt = setup_.material.pvt;
  HoldState& h = s.hold;
  parallel_for(pressure_.size(), [&](std::size_t i) {
    if (s.fill.vector()[i] < 1.0 && h.mode == HoldMode::not_begun) return;
    const double p = std::max(pressure[i], 0.0);
    const double* T = s.temperature.data() + i * n;
    double share = 0.0;
    for (std::size_t c = 0; c < n; ++c)
      if (T[c] <= transition_temperature(pvt, p))
        share += fill_.grid().share(static_cast<int>(c), volumes_.round[i] != 0);
    const double more = share - h.solid.vector()[i];
    if (more > 0.0) {
      const double mean = 0.5 * (p + std::max(pressure_before[i], 0.0));
      h.solid.vector()[i] = share;
      h.frozen.vector()[i] += more * mean;
      h.linear.vector()[i] += more * linear_shrinkage_from_glass(pvt, mean, room_temperature);
    }
    if (p > 0.0 || h.mode == HoldMode::not_begun)
      h.zero.vector()[i] = -1.0;
    else if (h.zero.vector()[i] < 0.0)
      h.zero.vector()[i] = s.time;
    double& freeze = h.freeze.vector()[i];
    if (!core_solid(i)) {
      freeze = -1.0;
    } else if (freeze < 0.0) {
      const double after = hottest(s.temperature, i, n);
      const double fall = core_before_[i] - after;
      const double past = setup_.material.no_flow_temperature - after;
      freeze = s.time - (fall > 0.0 ? dt * std::clamp(past / fall, 0.0, 1.0) : 0.0);
    }
    note_ejectable(s, dt, i);
  });
}

/// Control volumes that melt can still reach from the injection point. The fluidity of an element
/// is that of all its ends together: it is shut when none of them flows any more.
void Hold::find_reached() {
  std::vector<std::uint8_t>& seen = reached_;
  seen.assign(open_.size(), 0);
  std::vector<std::size_t> next{index(setup_.model.injection)};
  seen[next.front()] = 1;
  while (!next.empty()) {
    const std::size_t i = next.back();
    next.pop_back();
    for (const Neighbour& k : volumes_.around(i)) {
      const auto j = static_cast<std::size_t>(k.node);
      if (seen[j] != 0 || (open_[i] == 0 && open_[j] == 0)) continue;
      seen[j] = 1;
      next.push_back(j);
    }
  }
}

void Hold::note_masses(State& s) {
  HoldState& h = s.hold;
  find_reached();
  std::vector<double> in_parts(part_share_.size()), if_released(part_share_.size());
  for (std::size_t i = 0; i < in_parts.size(); ++i) {
    const double m = h.mass.vector()[i];
    const bool gives_way = reached_[i] != 0 && open_[i] != 0;
    in_parts[i] = part_share_[i] * m;
    if_released[i] = part_share_[i] * (gives_way ? std::min(m, loose(s, i)) : m);
  }
  h.time.push_back(s.time);
  h.all_mass.push_back(ordered_sum(h.mass.vector()));
  h.part_mass.push_back(ordered_sum(in_parts));
  h.released_mass.push_back(ordered_sum(if_released));
}

/// Whether the press lets go, and whether all that can still change is over.
void Hold::go_on(State& s) const {
  HoldState& h = s.hold;
  const auto parts_all = [&](auto&& holds) {
    for (std::size_t i = 0; i < part_share_.size(); ++i)
      if (part_share_[i] > 0.0 && !holds(i)) return false;
    return true;
  };
  if (h.mode == HoldMode::pressing) {
    if (setup_.process.holding.empty()) {
      if (parts_all([&](std::size_t i) { return reached_[i] == 0 || open_[i] == 0; }))
        h.mode = HoldMode::released;
    } else {
      double begin = profile_start(s);
      for (const HoldingStep& step : setup_.process.holding) {
        if (std::abs(s.time - begin) <= splinter * begin) h.event = s.time;
        begin += step.duration;
      }
      if (s.time >= begin * (1.0 - splinter)) h.mode = HoldMode::released;
    }
    if (h.mode == HoldMode::released) h.release = h.event = s.time;
  }
  if (h.mode == HoldMode::pressing && s.time >= h.start + longest_holding) {
    h.mode = HoldMode::released;  // the way never freezes shut
    h.release = h.event = s.time;
    h.gave_up = 1.0;
  }
  const bool over = s.time >= (h.start + longest_hold) * (1.0 - splinter);
  const bool settled = h.mode == HoldMode::released && parts_all([&](std::size_t i) {
                         return s.pressure.vector()[i] <= 0.0 || h.solid.vector()[i] >= all_solid;
                       });
  if (over || settled) h.mode = HoldMode::done;
}

HistoryEntry Hold::history(const State& s) const {
  HistoryEntry h = fill_.history(s);
  h.filled_fraction = 1.0;
  return h;
}

}  // namespace firstshot
