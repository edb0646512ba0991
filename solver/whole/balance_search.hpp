// The fewest changes of runners and gates after which all parts are full at about the same time, by
// the reduced tree (balance_tree.hpp), under the rules of the shop.
//
// Sizes are widths of cutters, and whole steps above the smallest cutter (a wider channel is milled
// in several passes); depths of gates are whole steps. Runners keep their proportions and stay so
// thin that they do not lengthen the cycle; gates stay at 0.8 of the wall that they open into and
// below (common practice, no source), and those on parts with a visible face are left alone unless
// allowed.
//
// Best change first: each round tries every size of every channel and takes the one with the least
// spread / target + small shares of pressure and channel volume; changes that turn out to be
// needless go again. A later change may replace an earlier one of the same measure.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/whole/balance_tree.hpp"

namespace firstshot {

struct BalanceRules {
  std::vector<double> cutters;  ///< diameters [m]
  double step = 1e-4;           ///< [m] > 0
  bool metal_safe = false;      ///< only larger
  bool visible_gates = false;   ///< gates on visible parts may change too
  double target = 0.0;          ///< spread to reach [s] > 0
  int most_changes = 20;
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

struct SizeChange {
  std::string channel;
  Role role = Role::gate;
  bool depth = false;
  double from = 0.0, to = 0.0;                     ///< [m]
  double spread_before = 0.0, spread_after = 0.0;  ///< by the tree, in this order [s]
};
struct BalanceProposal {
  std::vector<SizeChange> changes;   ///< the one that helps most first
  std::vector<SizeFactors> factors;  ///< per channel of the model
  BalanceFigures before, after;      ///< by the tree
};
/// @param setup, choices of the frame as it is @param tree may be that of a frame whose sizes have
/// been changed by `applied` already (one per channel); the proposal counts from the frame as it is
BalanceProposal propose_sizes(const Setup& setup, const BalanceTree& tree,
                              const std::vector<SizeFactors>& applied,
                              const std::vector<SizeChoice>& choices, const BalanceRules& rules);

/// One sentence: which rule keeps each channel as it is, for an answer that does not reach the
/// target; empty when there is nothing to say.
std::string blocking_rules(const Setup& setup, const std::vector<SizeChoice>& choices);

}  // namespace firstshot
