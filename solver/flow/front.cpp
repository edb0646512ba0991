#include "solver/flow/front.hpp"

#include <algorithm>
#include <cmath>

#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

/// A share this close to 1 is full: rounding of the balance, not melt.
constexpr double full_tolerance = 1e-11;
/// A pressure this far below the gas, in share of the highest, is rounding, not suction.
constexpr double pressure_tolerance = 1e-12;
/// A node may leave the set this often in a step; then it stays, so that rounding cannot make a
/// cycle.
constexpr int most_departures = 3;
/// What a solution asks of a node.
enum Move : std::uint8_t { stays, too_much, leaves };

}  // namespace

FrontSolver::FrontSolver(const ControlVolumes& volumes, double gas_pressure)
    : volumes_(volumes),
      gas_pressure_(gas_pressure),
      solver_(volumes.n_nodes(), volumes.edges),
      full_(volumes.n_nodes()),
      unknown_(volumes.n_nodes()),
      departures_(volumes.n_nodes()),
      fill_before_(volumes.n_nodes()),
      fill_(volumes.n_nodes()),
      pressure_(volumes.n_nodes()),
      flux_(volumes.edges.size()),
      diagonal_(volumes.n_nodes()),
      right_(volumes.n_nodes()),
      excess_(volumes.n_nodes()),
      moves_(volumes.n_nodes()),
      node_pocket_(volumes.n_nodes(), -1),
      gas_(volumes.n_nodes(), gas_pressure),
      beside_pocket_(volumes.edges.size()) {}

void FrontSolver::begin(std::span<const double> fill, std::span<const double> pressure, double dt,
                        const AirPockets* air, std::span<const double> gas_pressure) {
  dt_ = dt;
  air_ = air;
  std::copy(fill.begin(), fill.end(), fill_before_.begin());
  std::copy(fill.begin(), fill.end(), fill_.begin());
  std::copy(pressure.begin(), pressure.end(), pressure_.begin());
  std::fill(departures_.begin(), departures_.end(), 0);
  for (std::size_t i = 0; i < full_.size(); ++i) full_[i] = fill_before_[i] >= 1.0 ? 1 : 0;
  gas_change_ = 0.0;
  too_far_ = false;
  if (air_ == nullptr) return;
  std::copy(gas_pressure.begin(), gas_pressure.end(), gas_.begin());
  node_pocket_ = air_->node_pocket();
  pocket_pressure_.resize(air_->count());
  for (std::size_t k = 0; k < pocket_pressure_.size(); ++k)
    pocket_pressure_[k] = air_->pressure_before(k);
  shut_.assign(flux_.size(), 0);
  any_shut_ = false;
  handed_.assign(full_.size(), 0);
  covered_.assign(pocket_pressure_.size(), 0);
  coupled_.assign(pocket_pressure_.size(), 0);
  rounds_ = 0;
  set_gas(pocket_pressure_);
}

void FrontSolver::foresee(std::span<const double> flux_before) {
  constexpr int rings = 2;
  over_.clear();
  for (std::size_t i = 0; i < full_.size(); ++i) {
    if (full_[i] != 0) continue;
    double inflow = 0.0;
    for (const Neighbour& k : volumes_.around(i)) inflow -= k.sign * flux_before[k.edge];
    excess_[i] = volumes_.volume[i] * (fill_before_[i] - 1.0) + dt_ * inflow;
    if (excess_[i] > 0.0) over_.push_back(i);
  }
  spread(rings);
}

/// Takes the control volumes `over_` into the set; what is too much for them goes to their empty
/// neighbours in equal parts, which follow when it is too much for them, ring by ring.
void FrontSolver::spread(int rings) {
  std::vector<std::size_t> next;
  for (int r = 0; r < rings && !over_.empty(); ++r) {
    for (std::size_t i : over_) full_[i] = 1;
    moved_ += static_cast<int>(over_.size());
    next.clear();
    for (std::size_t i : over_) {
      int takers = 0;
      for (const Neighbour& k : volumes_.around(i)) takers += full_[k.node] == 0 ? 1 : 0;
      for (const Neighbour& k : volumes_.around(i)) {
        if (full_[k.node] != 0) continue;
        const bool had_room = excess_[k.node] <= 0.0;
        excess_[k.node] += excess_[i] / takers;
        if (had_room && excess_[k.node] > 0.0) next.push_back(static_cast<std::size_t>(k.node));
      }
    }
    over_.swap(next);
  }
}

SolveReport FrontSolver::iterate(std::span<const double> given_conductance, const Inlet& inlet) {
  const std::span<const double> conductance = open_conductance(given_conductance);
  if (inlet.pressure_given) full_[inlet.node] = 1;
  parallel_for(full_.size(), [&](std::size_t i) {
    unknown_[i] = full_[i];
    diagonal_[i] = 0.0;
    right_[i] = full_[i] != 0 ? -volumes_.volume[i] * (1.0 - fill_before_[i]) / dt_ : 0.0;
    if (full_[i] == 0) pressure_[i] = gas_[i];
  });
  if (inlet.pressure_given) {
    unknown_[inlet.node] = 0;
    pressure_[inlet.node] = inlet.pressure;
  } else {
    diagonal_[inlet.node] = inlet.compliance;
    right_[inlet.node] += inlet.flow + inlet.compliance * inlet.reference;
  }
  const SolveReport report = solver_.solve(conductance, diagonal_, right_, unknown_, pressure_);
  if (!report.converged) return report;
  if (air_ != nullptr) {
    const SolveReport coupled = couple(conductance, inlet);
    if (!coupled.converged) return coupled;
  }
  parallel_for(flux_.size(), [&](std::size_t e) {
    const auto [a, b] = volumes_.edges[e];
    flux_[e] = conductance[e] * (pressure_[a] - pressure_[b]);
  });
  update_fill(inlet);
  update_set();
  return report;
}

void FrontSolver::update_fill(const Inlet& inlet) {
  parallel_for(fill_.size(), [&](std::size_t i) {
    double inflow = 0.0;
    for (const Neighbour& k : volumes_.around(i)) inflow -= k.sign * flux_[k.edge];
    if (i == inlet.node) {
      inlet_flow_ = inlet.pressure_given
                        ? volumes_.volume[i] * (1.0 - fill_before_[i]) / dt_ - inflow
                        : inlet.flow - inlet.compliance * (pressure_[i] - inlet.reference);
      inflow += inlet_flow_;
    }
    fill_[i] = full_[i] != 0 ? 1.0 : fill_before_[i] + dt_ * inflow / volumes_.volume[i];
  });
}

double FrontSolver::highest_pressure() const {
  return *std::max_element(pressure_.begin(), pressure_.end()) - gas_pressure_;
}

void FrontSolver::update_set() {
  moved_ = 0;
  over_.clear();
  double excess = 0.0;
  const double suction = pressure_tolerance * highest_pressure();
  parallel_for(full_.size(), [&](std::size_t i) {
    moves_[i] = stays;
    if (full_[i] == 0) {
      excess_[i] = volumes_.volume[i] * (fill_[i] - 1.0);
      if (fill_[i] > 1.0 + full_tolerance) moves_[i] = too_much;
    } else if (pressure_[i] < resistance(i) - suction && fill_before_[i] < 1.0 &&
               departures_[i] < most_departures) {
      moves_[i] = leaves;
    }
  });
  for (std::size_t i = 0; i < full_.size(); ++i) {
    if (moves_[i] == too_much) {
      over_.push_back(i);
      excess += excess_[i];
    } else if (moves_[i] == leaves) {
      full_[i] = 0;
      ++departures_[i];
      ++moved_;
    }
  }
  const double entered = dt_ * inlet_flow_;
  excess_share_ = entered > 0.0 ? excess / entered : 1.0;
  if (excess_share_ > tolerated_) spread(1);
  if (air_ != nullptr) give_way();
  if (moved_ > 0) return;
  parallel_for(fill_.size(), [&](std::size_t i) {
    double& f = fill_[i];
    if (std::abs(f - 1.0) <= full_tolerance) f = 1.0;
    f = std::max(f, 0.0);
  });
}

}  // namespace firstshot
