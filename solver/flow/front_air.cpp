// The part of FrontSolver that links melt and pockets of air.
#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "solver/flow/air_gas.hpp"
#include "solver/flow/front.hpp"
#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

constexpr double room = air::room_pressure;
/// A share this far below 0 is more than rounding: melt that is not there.
constexpr double drained_tolerance = 1e-11;
constexpr int most_hand_overs = 3;
/// Below this product of the step's change of volume and the gas pressure, both relative, a
/// pocket's own answer within the step may wait for the next iteration.
constexpr double soft_limit = 0.02;
/// From this iteration of a step on, a pocket whose pressure still moves by more than this share of
/// the highest one is solved together with the melt, and stays so until the step ends.
constexpr int patient_rounds = 4;
constexpr double restless = 5e-6;

/// Keeps a Newton step on the positive side: at most a fall to a third, a rise to a hundredfold.
double limited(double before, double after) {
  constexpr double most_fall = 1.0 / 3.0, most_rise = 100.0;
  return std::clamp(after, most_fall * (before + room) - room, most_rise * (before + room) - room);
}

double slope_of(const AirPockets& air, std::size_t k, double pressure, double volume) {
  constexpr double share = 1e-7;
  const double step = share * (pressure + room);
  return (air.gas_volume(k, pressure + step) - volume) / step;
}

constexpr int most_newton = 80;
constexpr double newton_tolerance = 1e-13;

/// Pressure at which the gas of a pocket has this volume > 0.
double pressure_of(const AirPockets& air, std::size_t k, double volume, double guess) {
  double p = guess;
  for (int i = 0; i < most_newton; ++i) {
    const double gas = air.gas_volume(k, p);
    const double after = limited(p, p + (volume - gas) / slope_of(air, k, p, gas));
    const double step = std::abs(after - p);
    p = after;
    if (step < newton_tolerance * (p + room)) break;
  }
  return p;
}

/// Pockets whose volume depends on each other's pressure through the melt.
struct PocketSystem {
  std::vector<std::size_t> pocket;
  Eigen::MatrixXd answer;    // dV_k/dp_l by the melt
  Eigen::VectorXd volume;    // by the melt at the first pressures
  Eigen::VectorXd pressure;  // in: guess, out: solution
};

bool solve_pockets(const AirPockets& air, PocketSystem& s) {
  const Eigen::VectorXd start = s.pressure;
  Eigen::VectorXd& p = s.pressure;
  for (int i = 0; i < most_newton; ++i) {
    Eigen::MatrixXd slope = s.answer;
    Eigen::VectorXd miss = s.volume + s.answer * (p - start);
    for (Eigen::Index k = 0; k < p.size(); ++k) {
      const std::size_t pocket = s.pocket[static_cast<std::size_t>(k)];
      const double gas = air.gas_volume(pocket, p[k]);
      miss[k] -= gas;
      slope(k, k) -= slope_of(air, pocket, p[k], gas);
    }
    const Eigen::VectorXd step = slope.partialPivLu().solve(-miss);
    if (!step.allFinite()) return false;
    double largest = 0.0;
    for (Eigen::Index k = 0; k < p.size(); ++k) {
      const double after = limited(p[k], p[k] + step[k]);
      largest = std::max(largest, std::abs(after - p[k]) / (after + room));
      p[k] = after;
    }
    if (largest < newton_tolerance) break;
  }
  return true;
}

}  // namespace

std::span<const double> FrontSolver::open_conductance(std::span<const double> conductance) {
  if (air_ == nullptr || !any_shut_) return conductance;
  open_.assign(conductance.begin(), conductance.end());
  for (std::size_t e = 0; e < open_.size(); ++e)
    if (shut_[e] != 0) open_[e] = 0.0;
  return open_;
}

/// Takes over pressures; a covered pocket keeps its last one as the guess for when it opens again.
void FrontSolver::set_gas(const std::vector<double>& pressure) {
  settled_pressure_ = pressure;
  for (std::size_t k = 0; k < pressure.size(); ++k)
    if (covered_[k] == 0) pocket_pressure_[k] = pressure[k];
  parallel_for(gas_.size(), [&](std::size_t i) {
    if (node_pocket_[i] >= 0) gas_[i] = pocket_pressure_[static_cast<std::size_t>(node_pocket_[i])];
  });
}

/// What melt must press with to keep a node full [Pa].
double FrontSolver::resistance(std::size_t node) const {
  const std::int32_t k = node_pocket_[node];
  return k < 0 ? gas_[node] : settled_pressure_[static_cast<std::size_t>(k)];
}

/// Pocket of a node that is not full, else -1.
std::int32_t FrontSolver::empty_pocket(std::size_t node) const {
  return full_[node] != 0 ? -1 : node_pocket_[node];
}

void FrontSolver::find_pocket_borders() {
  parallel_for(flux_.size(), [&](std::size_t e) {
    const auto [a, b] = volumes_.edges[e];
    beside_pocket_[e] =
        empty_pocket(static_cast<std::size_t>(a)) != empty_pocket(static_cast<std::size_t>(b)) ? 1
                                                                                               : 0;
  });
}

/// Melt that flows into the empty nodes of each pocket for pressures x [m³/s].
std::vector<double> FrontSolver::pocket_inflow(std::span<const double> conductance,
                                               std::span<const double> x) const {
  std::vector<double> inflow(air_->count(), 0.0);
  for (std::size_t e = 0; e < conductance.size(); ++e) {
    if (beside_pocket_[e] == 0) continue;
    const auto [a, b] = volumes_.edges[e];
    const std::int32_t ka = empty_pocket(static_cast<std::size_t>(a));
    const std::int32_t kb = empty_pocket(static_cast<std::size_t>(b));
    const double flux = conductance[e] * (x[a] - x[b]);
    if (ka >= 0) inflow[static_cast<std::size_t>(ka)] -= flux;
    if (kb >= 0) inflow[static_cast<std::size_t>(kb)] += flux;
  }
  return inflow;
}

/// What the melt leaves of each pocket at the end of the step, for the present pressures [m³].
std::vector<double> FrontSolver::volume_by_melt(std::span<const double> conductance,
                                                const Inlet& inlet) const {
  std::vector<double> volume = pocket_inflow(conductance, pressure_);
  for (double& v : volume) v *= -dt_;
  for (std::size_t i = 0; i < full_.size(); ++i)
    if (full_[i] == 0 && node_pocket_[i] >= 0)
      volume[static_cast<std::size_t>(node_pocket_[i])] +=
          volumes_.volume[i] * (1.0 - fill_before_[i]);
  const std::int32_t at_inlet = full_[inlet.node] != 0 ? -1 : node_pocket_[inlet.node];
  if (at_inlet >= 0 && !inlet.pressure_given)
    volume[static_cast<std::size_t>(at_inlet)] -=
        dt_ * (inlet.flow - inlet.compliance * (pressure_[inlet.node] - inlet.reference));
  return volume;
}

/// Pockets that must be solved together with the melt; `next` gets the pressures of the others.
std::vector<std::size_t> FrontSolver::stiff_pockets(const std::vector<double>& volume,
                                                    std::vector<double>& next) {
  const double highest = std::max(highest_pressure(), room);
  covered_.assign(volume.size(), 1);
  for (std::size_t i = 0; i < full_.size(); ++i)
    if (full_[i] == 0 && node_pocket_[i] >= 0)
      covered_[static_cast<std::size_t>(node_pocket_[i])] = 0;
  std::vector<std::size_t> stiff;
  for (std::size_t k = 0; k < volume.size(); ++k) {
    const double change = std::abs(air_->volume_before(k) - volume[k]);
    if (covered_[k] != 0)  // melt must press all gas out of it
      next[k] = air_->expulsion_pressure(k);
    else if (coupled_[k] != 0 || !(volume[k] > 0.0) ||
             change / volume[k] * (pocket_pressure_[k] + room) > soft_limit * highest)
      coupled_[k] = 1;
    else
      next[k] = pressure_of(*air_, k, volume[k], pocket_pressure_[k]);
    // Left to wait, two pockets may swap their answers for ever.
    if (rounds_ > patient_rounds && covered_[k] == 0 &&
        std::abs(next[k] - pocket_pressure_[k]) > restless * highest)
      coupled_[k] = 1;
    if (covered_[k] != 0 || coupled_[k] == 0) continue;
    next[k] = pocket_pressure_[k];
    stiff.push_back(k);
  }
  ++rounds_;
  return stiff;
}

/// The melt's answer to 1 Pa in a pocket: pressures (n_nodes) and its column of dV/dp.
SolveReport FrontSolver::respond(std::span<const double> conductance, const Inlet& inlet,
                                 std::size_t pocket, std::vector<double>& y,
                                 std::vector<double>& volume) {
  const auto number = static_cast<std::int32_t>(pocket);
  y.assign(full_.size(), 0.0);
  for (std::size_t i = 0; i < y.size(); ++i)
    if (full_[i] == 0 && node_pocket_[i] == number) y[i] = 1.0;
  const SolveReport report =
      solver_.solve_again(conductance, std::vector<double>(y.size(), 0.0), y);
  volume = pocket_inflow(conductance, y);
  for (double& v : volume) v *= -dt_;
  if (full_[inlet.node] == 0 && !inlet.pressure_given && node_pocket_[inlet.node] == number)
    volume[pocket] += dt_ * inlet.compliance;
  return report;
}

SolveReport FrontSolver::couple(std::span<const double> conductance, const Inlet& inlet) {
  std::vector<double> next = pocket_pressure_;
  find_pocket_borders();
  const std::vector<double> volume = volume_by_melt(conductance, inlet);
  PocketSystem system;
  system.pocket = stiff_pockets(volume, next);
  const std::size_t n = system.pocket.size();
  const auto rows = static_cast<Eigen::Index>(n);
  std::vector<std::vector<double>> response(n);
  system.answer.resize(rows, rows);
  system.volume.resize(rows);
  system.pressure.resize(rows);
  std::vector<double> column;
  for (std::size_t l = 0; l < n; ++l) {
    const SolveReport report = respond(conductance, inlet, system.pocket[l], response[l], column);
    if (!report.converged) return report;
    const auto at = static_cast<Eigen::Index>(l);
    for (std::size_t k = 0; k < n; ++k)
      system.answer(static_cast<Eigen::Index>(k), at) = column[system.pocket[k]];
    system.volume[at] = volume[system.pocket[l]];
    system.pressure[at] = pocket_pressure_[system.pocket[l]];
  }
  const Eigen::VectorXd start = system.pressure;
  if (n > 0 && !solve_pockets(*air_, system)) return {false, 0, 1.0};
  gas_change_ = 0.0;
  const double highest = std::max(highest_pressure(), room);
  for (std::size_t k = 0; k < next.size(); ++k)
    if (covered_[k] == 0)
      gas_change_ = std::max(gas_change_, std::abs(next[k] - pocket_pressure_[k]) / highest);
  for (std::size_t l = 0; l < n; ++l) {
    const auto at = static_cast<Eigen::Index>(l);
    const double change = system.pressure[at] - start[at];
    for (std::size_t i = 0; i < full_.size(); ++i) pressure_[i] += change * response[l][i];
    next[system.pocket[l]] = system.pressure[at];
  }
  set_gas(next);
  return {true, 1, 0.0};
}

/// Full neighbours of a drained node that the gas would press upon take the front over.
bool FrontSolver::hand_over(std::size_t node) {
  bool any = false;
  for (const Neighbour& k : volumes_.around(node)) {
    const auto j = static_cast<std::size_t>(k.node);
    if (full_[j] == 0 || pressure_[j] >= pressure_[node]) continue;
    if (departures_[j] >= most_hand_overs) continue;
    full_[j] = 0;
    ++departures_[j];
    handed_[j] = 1;
    node_pocket_[j] = node_pocket_[node];
    gas_[j] = gas_[node];
    ++moved_;
    any = true;
  }
  return any;
}

bool FrontSolver::shut_off(std::size_t node) {
  bool any = false;
  for (const Neighbour& k : volumes_.around(node)) {
    const auto e = static_cast<std::size_t>(k.edge);
    if (shut_[e] != 0 || pressure_[static_cast<std::size_t>(k.node)] >= pressure_[node]) continue;
    shut_[e] = 1;
    any_shut_ = true;
    ++moved_;
    any = true;
  }
  return any;
}

void FrontSolver::give_way() {
  for (std::size_t i = 0; i < full_.size(); ++i) {
    if (full_[i] != 0 || fill_[i] >= -drained_tolerance) continue;
    too_far_ = too_far_ || handed_[i] != 0;
    if (!hand_over(i)) shut_off(i);
  }
}

}  // namespace firstshot
