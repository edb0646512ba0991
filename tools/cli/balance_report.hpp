// What balance found, for people and for scripts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/whole/balance_search.hpp"

namespace firstshot {

struct BalanceRun {
  double spread = 0.0;    ///< [s]
  double fill = 0.0;      ///< [s]
  double pressure = 0.0;  ///< peak at the injection point [Pa]
  double mass = 0.0;      ///< of the shot [kg]
  int traps = 0;          ///< pockets of air that a vent can cure
};

struct BalanceAnswer {
  std::vector<SizeChange> changes;
  std::vector<VentProposal> vents;
  BalanceRun before, after;
  double target = 0.0;  ///< spread [s]; 0 for vents
  bool reached = false;
  std::string blocked;  ///< rules in the way, when it is not reached
  int runs = 0;         ///< full runs that were made
  std::string folder;
};

BalanceRun balance_run(const Setup& setup, const Result& result);
/// Whether a vent in the parting line can let this air out, and has to.
bool wants_vent(const AirPocketResult& pocket);
std::string balance_text(const BalanceAnswer& answer);
std::string balance_json(const BalanceAnswer& answer);

}  // namespace firstshot
