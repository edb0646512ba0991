#include "solver/flow/gap_flow.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

/// A gradient this small leaves every melt in its Newtonian range [Pa/m]; keeps ln g finite.
constexpr double least_gradient = 1e-3;
/// β: the layer at the wall is this much thinner than the mean. With 0.8 and 0.9 the change of
/// pressure from 20 layers to 40 is no smaller.
constexpr double grading = 0.6;
/// The neutral plane stays inside the gap by this share of the half gap.
constexpr double neutral_limit = 0.98;

/// ∫ γ̇, ∫ z γ̇, ∫ z² γ̇ from 0 to z of melt with 1/η₀ = 1, γ̇ = τ* x(g z/τ*): z^(k+1)/(k+1) m_k g.
struct Cumulated {
  double first = 0.0, second = 0.0, third = 0.0;
};

template <bool Third>
Cumulated cumulated(const ReducedCurve& curve, double z, double log_s, double gradient) {
  Cumulated c;
  c.first = 0.5 * gradient * z * z * curve.moment<1>(log_s).factor;
  if constexpr (Third)
    c.third = 0.25 * gradient * z * z * z * z * curve.moment<3>(log_s).factor;
  else
    c.second = gradient / 3.0 * z * z * z * curve.moment<2>(log_s).factor;
  return c;
}

double log_scaled_stress(const ReducedCurve& curve, double gradient, double length) {
  return std::log(std::max(gradient, least_gradient) * length / curve.stress_scale());
}

/// A half channel: its layers stand at first, first + stride, … from the axis; size is half gap or
/// radius [m].
struct Half {
  int first;
  int stride;
  double size;
};

/// Slit with alike walls: Σ over layers of (1/η₀) [ζ³ m₂] and its slope, both to be scaled by
/// 2H³/3.
GapFlow half_slit(const LayeredMelt& melt, double half_gap, double gradient) {
  const double log_wall = log_scaled_stress(melt.curve, gradient, half_gap);
  double sum = 0.0;
  double slope = 0.0;
  double below_value = 0.0;
  double below_slope = 0.0;
  for (int l = 0; l < melt.grid.layers(); ++l) {
    const double z = melt.grid.border(l + 1);
    const auto m = melt.curve.moment<2>(log_wall + melt.grid.log_border(l));
    const double cube = z * z * z;
    const double value = cube * m.factor;
    const double rise = cube * m.slope;
    sum += melt.inverse[l] * (value - below_value);
    slope += melt.inverse[l] * (rise - below_slope);
    below_value = value;
    below_slope = rise;
  }
  const double scale = 2.0 / 3.0 * half_gap * half_gap * half_gap;
  return {scale * sum, sum > 0.0 ? 1.0 + slope / sum : 1.0};
}

/// Signed moments from the neutral plane to a border of a full-gap column, per 1/η₀.
struct SignedBorder {
  double first = 0.0;   ///< ∫ x-weighted, even in z: g z²/2 m₁
  double second = 0.0;  ///< odd in z: g z³/3 m₂
  double second_slope = 0.0;
  double rate = 0.0;  ///< γ̇ per 1/η₀ with the sign of z
};

SignedBorder signed_border(const ReducedCurve& curve, double z, double gradient) {
  SignedBorder b;
  const double a = std::abs(z);
  if (a <= 0.0) return b;
  const double log_s = std::log(gradient * a / curve.stress_scale());
  const auto m1 = curve.moment<1>(log_s);
  const auto m2 = curve.moment<2>(log_s);
  b.first = 0.5 * gradient * a * a * m1.factor;
  const double cube = gradient / 3.0 * z * z * z;
  b.second = cube * m2.factor;
  b.second_slope = cube * (m2.factor + m2.slope);
  b.rate = gradient * z * (m1.factor + 0.5 * m1.slope);
  return b;
}

GapFlow full_slit(const LayeredMelt& melt, double half_gap, double gradient, double& neutral) {
  const double g = std::max(gradient, least_gradient);
  const int n = melt.grid.columns();
  double flow = 0.0;
  double slope = 0.0;
  double imbalance = 0.0;  // ∫ γ̇ dz over the gap
  double imbalance_dz = 0.0;
  SignedBorder below = signed_border(melt.curve, half_gap * (-1.0 - neutral), g);
  for (int c = 0; c < n; ++c) {
    const double zeta = melt.grid.column_border(c + 1);
    const SignedBorder above = signed_border(melt.curve, half_gap * (zeta - neutral), g);
    flow += melt.inverse[c] * (above.second - below.second);
    slope += melt.inverse[c] * (above.second_slope - below.second_slope);
    imbalance += melt.inverse[c] * (above.first - below.first);
    imbalance_dz -= melt.inverse[c] * (above.rate - below.rate);
    below = above;
  }
  if (imbalance_dz < 0.0) {
    const double step = -imbalance / (imbalance_dz * half_gap);
    neutral = std::clamp(neutral + std::clamp(step, -0.2, 0.2), -neutral_limit, neutral_limit);
  }
  return {flow / g, flow > 0.0 ? slope / flow : 1.0};
}

GapFlow half_round(const LayeredMelt& melt, const Half& half, double gradient) {
  const double log_wall = log_scaled_stress(melt.curve, gradient, 0.5 * half.size);
  double sum = 0.0;
  double slope = 0.0;
  double below_value = 0.0;
  double below_slope = 0.0;
  for (int l = 0; l < melt.grid.layers(); ++l) {
    const double r = melt.grid.border(l + 1);
    const auto m = melt.curve.moment<3>(log_wall + melt.grid.log_border(l));
    const double fourth = r * r * r * r;
    const double value = fourth * m.factor;
    const double rise = fourth * m.slope;
    const double inv = melt.inverse[half.first + half.stride * l];
    sum += inv * (value - below_value);
    slope += inv * (rise - below_slope);
    below_value = value;
    below_slope = rise;
  }
  const double scale = std::numbers::pi / 8.0 * half.size * half.size * half.size * half.size;
  return {scale * sum, sum > 0.0 ? 1.0 + slope / sum : 1.0};
}

/// Turns sums into shares; equal shares of the volume where nothing moves.
void to_shares(std::vector<double>& values, const GapGrid& grid, bool round) {
  double sum = 0.0;
  for (double v : values) sum += v;
  for (int c = 0; c < grid.columns(); ++c)
    values[c] = sum > 0.0 ? values[c] / sum : grid.share(c, round);
}

/// Profile of a half channel with its layers at first, first + stride, …
template <bool Round>
void half_profile(const LayeredMelt& melt, const Half& side, double gradient, GapProfile& profile) {
  const int n = melt.grid.layers();
  const double g = std::max(gradient, least_gradient) * (Round ? 0.5 : 1.0);
  const double log_wall = std::log(g * side.size / melt.curve.stress_scale());
  double velocity = 0.0;  // at the outer border of the layer
  Cumulated outer = cumulated<Round>(melt.curve, side.size, log_wall, g);
  for (int l = n - 1; l >= 0; --l) {
    const int c = side.first + side.stride * l;
    const double zi = side.size * melt.grid.border(l);
    const double zo = side.size * melt.grid.border(l + 1);
    const Cumulated inner =
        l > 0 ? cumulated<Round>(melt.curve, zi, log_wall + melt.grid.log_border(l - 1), g)
              : Cumulated{};
    const double first_moment = melt.inverse[c] * (outer.first - inner.first);
    if constexpr (Round) {
      const double third = melt.inverse[c] * (outer.third - inner.third);
      profile.flow[c] = (zo * zo - zi * zi) * velocity + third - zi * zi * first_moment;
      profile.heat[c] = third;
    } else {
      const double second = melt.inverse[c] * (outer.second - inner.second);
      profile.flow[c] = (zo - zi) * velocity + second - zi * first_moment;
      profile.heat[c] = second;
    }
    velocity += first_moment;
    profile.shear_rate = std::max(profile.shear_rate, first_moment / (zo - zi));
    outer = inner;
  }
}

void full_slit_profile(const LayeredMelt& melt, double half_gap, double gradient, double neutral,
                       GapProfile& profile) {
  const double g = std::max(gradient, least_gradient);
  const int n = melt.grid.columns();
  // From the fixed wall upwards: v rises while z < z₀ (γ̇ here is -dv/dz, negative below z₀).
  double velocity = 0.0;
  double z_below = half_gap * (-1.0 - neutral);
  SignedBorder below = signed_border(melt.curve, z_below, g);
  for (int c = 0; c < n; ++c) {
    const double z_above = half_gap * (melt.grid.column_border(c + 1) - neutral);
    const double dz = z_above - z_below;
    const SignedBorder above = signed_border(melt.curve, z_above, g);
    const double first = melt.inverse[c] * (above.first - below.first);
    const double second = melt.inverse[c] * (above.second - below.second);
    // ∫ v dz = dz v_below - ∫ (z_above - z) γ̇ dz
    profile.flow[c] = std::max(dz * velocity - (z_above * first - second), 0.0);
    profile.heat[c] = second;
    velocity -= first;
    profile.shear_rate = std::max(profile.shear_rate, std::abs(first) / dz);
    z_below = z_above;
    below = above;
  }
}

void reset(GapProfile& profile, const GapGrid& grid) {
  profile.flow.assign(static_cast<std::size_t>(grid.columns()), 0.0);
  profile.heat.assign(static_cast<std::size_t>(grid.columns()), 0.0);
  profile.shear_rate = 0.0;
}

}  // namespace

GapGrid::GapGrid(int layers_per_half, bool walls_differ)
    : layers_(layers_per_half), walls_differ_(walls_differ) {
  for (int l = 0; l <= layers_; ++l) {
    const double s = static_cast<double>(l) / layers_;
    border_.push_back(s * (1.0 + grading - grading * s));
    if (l > 0) log_border_.push_back(std::log(border_.back()));
  }
  if (walls_differ_)
    for (int l = layers_; l > 0; --l) column_border_.push_back(-border(l));
  column_border_.insert(column_border_.end(), border_.begin(), border_.end());
}

double GapGrid::share(int column, bool round) const {
  const double halves = walls_differ_ ? 2.0 : 1.0;
  const double a = column_border(column);
  const double b = column_border(column + 1);
  if (!round) return (b - a) / halves;
  return std::abs(b * b - a * a) / halves;
}

double GapGrid::share_below(std::span<const double> temperature, double limit) const {
  double sum = 0.0;
  for (int c = 0; c < columns(); ++c)
    if (temperature[c] <= limit) sum += share(c, false);
  return sum;
}

GapFlow slit_flow(const LayeredMelt& melt, double half_gap, double gradient, double& neutral) {
  if (!melt.grid.walls_differ()) return half_slit(melt, half_gap, gradient);
  return full_slit(melt, half_gap, gradient, neutral);
}

GapFlow round_flow(const LayeredMelt& melt, double radius, double gradient) {
  if (!melt.grid.walls_differ()) return half_round(melt, {0, 1, radius}, gradient);
  const int n = melt.grid.layers();
  const GapFlow fixed = half_round(melt, {n - 1, -1, radius}, gradient);
  const GapFlow moving = half_round(melt, {n, 1, radius}, gradient);
  const double sum = fixed.fluidity + moving.fluidity;
  if (!(sum > 0.0)) return {0.0, 1.0};
  return {0.5 * sum, (fixed.fluidity * fixed.steepness + moving.fluidity * moving.steepness) / sum};
}

void slit_profile(const LayeredMelt& melt, double half_gap, double gradient, double neutral,
                  GapProfile& profile) {
  reset(profile, melt.grid);
  if (melt.grid.walls_differ())
    full_slit_profile(melt, half_gap, gradient, neutral, profile);
  else
    half_profile<false>(melt, {0, 1, half_gap}, gradient, profile);
  to_shares(profile.flow, melt.grid, false);
  to_shares(profile.heat, melt.grid, false);
}

void round_profile(const LayeredMelt& melt, double radius, double gradient, GapProfile& profile) {
  reset(profile, melt.grid);
  if (melt.grid.walls_differ()) {
    const int n = melt.grid.layers();
    half_profile<true>(melt, {n - 1, -1, radius}, gradient, profile);
    half_profile<true>(melt, {n, 1, radius}, gradient, profile);
  } else {
    half_profile<true>(melt, {0, 1, radius}, gradient, profile);
  }
  to_shares(profile.flow, melt.grid, true);
  to_shares(profile.heat, melt.grid, true);
}

}  // namespace firstshot
