// What balance found, for people and for scripts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mesh/gate_places.hpp"
#include "solver/whole/balance_find.hpp"

namespace firstshot {

struct BalanceRun {
  double spread = 0.0;    ///< between the parts nearly full [s]
  double corners = 0.0;   ///< between the last corners of the parts [s]
  double fill = 0.0;      ///< [s]
  double nearly = 0.0;    ///< when the last part is nearly full [s]
  double pressure = 0.0;  ///< peak at the injection point [Pa]
  double mass = 0.0;      ///< of the shot [kg]
  int traps = 0;          ///< pockets of air that a vent can cure
  int caught = 0;         ///< pockets that do not get out or may scorch
  int shorts = 0;         ///< parts that stay short
  int parts = 0;
};

/// A further gate and what it cures.
struct AddedGate {
  GateLine gate;
  std::string part;
  std::string cures;  ///< "plate stays short", "air is caught in plate"
};

struct BalanceAnswer {
  std::optional<BalanceFound> sizes;  ///< none for vents and gates
  std::vector<VentProposal> vents;
  std::vector<AddedGate> gates;
  BalanceRun before, after;
  double target = 0.0;  ///< spread [s]; 0 for vents and gates
  bool reached = false;
  std::string blocked;  ///< rules in the way, when it is not reached
  int runs = 0;         ///< full runs that were made
  std::string folder;
};

BalanceRun balance_run(const Setup& setup, const Result& result);
/// Whether this air does not get out or may scorch.
bool is_caught(const AirPocketResult& pocket);
/// Whether a vent in the parting line can let this air out, and has to.
bool wants_vent(const AirPocketResult& pocket);
std::string balance_text(const BalanceAnswer& answer);
std::string balance_json(const BalanceAnswer& answer);

}  // namespace firstshot
