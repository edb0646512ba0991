// What a frame costs, from weights, rates and the cycle.
//
//   per shot = material + colour + drying - runners ground up again + machine + labour
//   per good frame = per shot / (1 - scrap);   with the mould: + mould price / volume
//   break-even = mould price / (sale price - cost per good frame)
//
// Material: fresh m (1 - regrind - masterbatch), regrind at the price of grinding. Runners (and
// scrap) are worth what they save, price of fresh material less grinding, as far as the blend takes
// regrind up. Drying is paid for all that goes into the hopper. One shot is one frame. No tax,
// interest or energy: a machine rate holds its energy.
#pragma once

#include <optional>

#include "solver/material/blend.hpp"
#include "solver/material/cost_rates.hpp"

namespace firstshot {

struct CostInput {
  double mass = 0.0;                                      ///< of the shot [kg]
  double runner_share = 0.0;                              ///< [-]
  double cycle = 0.0, cycle_low = 0.0, cycle_high = 0.0;  ///< [s]
};

struct CostResult {
  // In the currency of the rates, per shot:
  double material = 0.0, colour = 0.0, regrind_credit = 0.0, machine = 0.0, labour = 0.0;
  double drying = 0.0;
  double scrap = 0.0;  ///< what good frames carry for bad ones
  double per_frame = 0.0, per_frame_low = 0.0, per_frame_high = 0.0;  ///< running, good frame
  std::optional<double> mould_per_frame;                              ///< null without a volume
  std::optional<double> total_per_frame;                              ///< running and mould
  std::optional<double> break_even_frames;      ///< null without a price that leaves a margin
  std::optional<double> mould_return;           ///< price of a mould that comes back
  std::optional<double> mould_return_expected;  ///< times the share of moulds that do
  double material_per_kg = 0.0;                 ///< of the blend
  double runner_unused = 0.0;  ///< runners that the blend does not take up [kg per shot]
};

/// What `time` [s] of the cycle costs per good frame.
double cost_of_time(const CostRates& rates, double time);

CostResult cost_of(const CostRates& rates, const Blend& blend, const CostInput& input);

}  // namespace firstshot
