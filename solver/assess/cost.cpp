#include "solver/assess/cost.hpp"

#include <algorithm>

namespace firstshot {
namespace {

constexpr double hour = 3600.0;  // [s]

double per_good_frame(const CostRates& rates, double substance, double cycle) {
  const double time = (rates.machine + rates.labour * rates.attendance) * cycle / hour;
  return (substance + time) / (1.0 - rates.scrap);
}

}  // namespace

double cost_of_time(const CostRates& rates, double time) {
  return per_good_frame(rates, 0.0, time);
}

CostResult cost_of(const CostRates& rates, const Blend& blend, const CostInput& in) {
  CostResult c;
  const BlendFigures shares = blend_figures(blend);
  // Regrind costs its grinding; what it is worth as material is the runner's credit.
  c.material = in.mass * (shares.fresh + blend.regrind) * rates.material;
  c.colour = in.mass * blend.masterbatch * rates.masterbatch;
  c.drying = in.mass * rates.drying;
  const double runners = in.mass * in.runner_share;
  const double used = in.mass * blend.regrind;  // regrind taken up by the next shot
  c.regrind_credit = used * std::max(rates.material - rates.regrind, 0.0);
  c.runner_unused = std::max(runners - used, 0.0);
  c.material_per_kg =
      in.mass > 0.0 ? (c.material + c.colour + c.drying - c.regrind_credit) / in.mass : 0.0;
  c.machine = rates.machine * in.cycle / hour;
  c.labour = rates.labour * rates.attendance * in.cycle / hour;
  const double substance = c.material + c.colour + c.drying - c.regrind_credit;
  c.per_frame = per_good_frame(rates, substance, in.cycle);
  c.per_frame_low = per_good_frame(rates, substance, in.cycle_low);
  c.per_frame_high = per_good_frame(rates, substance, in.cycle_high);
  c.scrap = c.per_frame - (substance + c.machine + c.labour);
  if (rates.mould > 0.0 && rates.volume > 0.0) {
    c.mould_per_frame = rates.mould / rates.volume;
    c.total_per_frame = c.per_frame + *c.mould_per_frame;
  }
  if (rates.mould > 0.0 && rates.sale > c.per_frame)
    c.break_even_frames = rates.mould / (rates.sale - c.per_frame);
  const double back = rates.return_days * rates.return_day + rates.return_work;
  if (back > 0.0) {
    c.mould_return = back;
    c.mould_return_expected = back * rates.return_share;
  }
  return c;
}

}  // namespace firstshot
