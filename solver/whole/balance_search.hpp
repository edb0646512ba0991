// The fewest changes of runners and gates after which all parts are full at about the same time, by
// the reduced network (fill_network.hpp), under the rules of the shop.
//
// Sizes are widths of cutters, and whole steps above the smallest cutter (a wider channel is milled
// in several passes); depths of gates are whole steps. Runners keep their proportions and stay so
// thin that they do not lengthen the cycle; gates stay at 0.8 of the wall that they open into and
// below (common practice, no source), and those on parts with a visible face are left alone unless
// allowed.
//
// Best change first: each round tries the sizes of the channels whose slopes promise most and takes
// the one that costs least by the network; changes that turn out to be needless go again. A later
// change may replace an earlier one of the same measure.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/whole/fill_network.hpp"

namespace firstshot {

/// What is made least: the spread of the times when the parts are nearly full, or, with a spread no
/// larger than the target (or than it is), the pressure or the volume of the channels.
enum class BalanceAim { even, pressure, weight };

struct BalanceRules {
  std::vector<double> cutters;  ///< diameters [m]
  double step = 1e-4;           ///< [m] > 0
  bool metal_safe = false;      ///< only larger
  bool visible_gates = false;   ///< gates on visible parts may change too
  double target = 0.0;          ///< spread to reach [s] > 0
  int most_changes = 20;
  BalanceAim aim = BalanceAim::even;
  double most_pressure = 0.0;  ///< that the answer may need [Pa]; 0: any
};

/// One measure of a channel and what it may become.
struct SizeChoice {
  std::size_t channel = 0;
  bool depth = false;           ///< of a gate; otherwise width or diameter
  double present = 0.0;         ///< [m]
  std::vector<double> allowed;  ///< others than the present one, rising [m]
  std::string blocked;          ///< why none is allowed; empty otherwise
};
/// All measures of runners and gates. @param run gives the times to ejection
std::vector<SizeChoice> size_choices(const Setup& setup, const Result& run,
                                     const BalanceRules& rules);

/// A measure with its new size.
struct SizePick {
  std::size_t choice = 0;
  double size = 0.0;  ///< [m]
  bool operator==(const SizePick&) const = default;
};
using SizePicks = std::vector<SizePick>;

/// One per channel of the model, against the frame as it is.
std::vector<SizeFactors> size_factors(const Model& model, const std::vector<SizeChoice>& choices,
                                      const SizePicks& picks);

/// A network, and the sizes with which its run was made.
struct BalanceStart {
  const FillNetwork& network;
  const SizePicks& picks;
  double trust = 2.5;  ///< sizes are looked for between those of the run over and times this
};
struct BalanceProposal {
  SizePicks picks;               ///< from the frame as it is; the one that helps most first
  BalanceFigures before, after;  ///< by the network: of its run, of the proposal
};
BalanceProposal propose_sizes(const Setup& setup, const BalanceStart& start,
                              const std::vector<SizeChoice>& choices, const BalanceRules& rules);

/// What is made least. @param present the frame as it is
double balance_cost(const BalanceFigures& figures, const BalanceFigures& present,
                    const BalanceRules& rules);

/// One sentence: which rule keeps each channel as it is, for an answer that does not reach the
/// target; empty when there is nothing to say.
std::string blocking_rules(const Setup& setup, const std::vector<SizeChoice>& choices);

}  // namespace firstshot
