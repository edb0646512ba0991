// Sizes that full runs agree with: proposals of the reduced network, each tried by a full run that
// makes the network anew, then the neighbours of what was found, then each change on its own, so
// that the answer tells what every change brings and holds none that is needless.
#pragma once

#include <functional>
#include <optional>

#include "solver/whole/balance_search.hpp"

namespace firstshot {

/// A run that only fills, with certain sizes.
struct BalanceTrial {
  bool fills = false;                  ///< all parts
  BalanceFigures figures;              ///< as the run has it
  std::optional<FillNetwork> network;  ///< of this run; none when it does not fill
};
/// @param record of the run
BalanceTrial balance_trial(const Setup& setup, const Result& run, const FillRecord& record);

using TrySizes = std::function<BalanceTrial(const std::vector<SizeFactors>&)>;

struct SizeChange {
  std::string channel;
  Role role = Role::gate;
  bool depth = false;
  double from = 0.0, to = 0.0;   ///< [m]
  BalanceFigures before, after;  ///< by full runs, changes in this order
  double forecast = 0.0;         ///< spread after, by the network that proposed it [s]
};
struct BalanceFound {
  std::vector<SizeChange> changes;
  std::vector<SizeFactors> factors;  ///< per channel of the model
  BalanceFigures before, after;      ///< by full runs
  double forecast = 0.0;             ///< spread that the network of the frame as it is foretold [s]
  bool reached = false;              ///< the target, by full runs
  int runs = 0;                      ///< that were tried
};

struct FindSettings {
  int proposals = 4;   ///< of the network at most
  int neighbours = 8;  ///< runs with a size next to a found one at most
  double trust = 2.5;  ///< into the first network: see BalanceStart
  std::function<void(const std::string&)> on_note = {};
};
/// @param present run of the frame as it is; has a network
BalanceFound find_sizes(const Setup& setup, const BalanceTrial& present,
                        const std::vector<SizeChoice>& choices, const BalanceRules& rules,
                        const TrySizes& run, const FindSettings& settings = {});

}  // namespace firstshot
