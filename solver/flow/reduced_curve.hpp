// One universal curve per flow index: the Cross law [Cross1965] in reduced form.
//
// With s = τ/τ* and x = η₀ γ̇/τ* the law reads s = x / (1 + x^(1-n)), so that γ̇ = (τ*/η₀) x(s) with
// x(s) independent of temperature and pressure. Flow through a gap needs the moments
//   M_k(s) = ∫₀ˢ s'^(k-1) x(s') ds' = s^(k+1)/(k+1) · m_k(ln s),   k = 1, 2, 3,
// whose thinning factors m_k ≥ 1 (1 for Newtonian melt) are smooth and tabulated over ln s with
// their exact slopes m_k' = (k+1)(x/s - m_k), cubic between the points: relative error below 1e-5.
// Newtonian: m_k = 1. Power law: x = s^(1/n), m_k = (k+1)/(k+1/n) s^(1/n-1).
#pragma once

#include <array>
#include <vector>

#include "solver/material/viscosity.hpp"

namespace firstshot {

class ReducedCurve {
 public:
  explicit ReducedCurve(const ViscosityLaw& law);

  double stress_scale() const { return stress_scale_; }
  double flow_index() const { return n_; }

  struct Value {
    double factor;  ///< m_k
    double slope;   ///< dm_k / d ln s
  };
  /// m_k and its slope at ln s; K = 1, 2 or 3.
  template <int K>
  Value moment(double log_s) const;

  /// Reduced rate x(s) = s · (m_1 + m_1'/2).
  double rate(double s) const;

 private:
  enum class Kind { newtonian, power, cross };
  struct Cell {
    double c0, c1, c2, c3;
  };
  static constexpr double log_min = -14.0;
  static constexpr double log_max = 14.0;
  static constexpr double cells_per_unit = 16.0;

  void tabulate();
  Value power_moment(int k, double log_s) const;
  Value beyond_table(int k, double log_s) const;

  Kind kind_ = Kind::newtonian;
  double n_ = 1.0;
  double stress_scale_ = 1.0;
  std::array<std::vector<Cell>, 3> cells_;
};

template <int K>
inline ReducedCurve::Value ReducedCurve::moment(double log_s) const {
  static_assert(K >= 1 && K <= 3);
  if (kind_ == Kind::newtonian) return {1.0, 0.0};
  if (kind_ == Kind::power) return power_moment(K, log_s);
  const double place = (log_s - log_min) * cells_per_unit;
  if (!(place > 0.0)) return {1.0, 0.0};
  if (log_s >= log_max) return beyond_table(K, log_s);
  const int i = static_cast<int>(place);
  const double t = place - i;
  const Cell& c = cells_[K - 1][static_cast<std::size_t>(i)];
  const double factor = c.c0 + t * (c.c1 + t * (c.c2 + t * c.c3));
  const double slope = (c.c1 + t * (2.0 * c.c2 + 3.0 * t * c.c3)) * cells_per_unit;
  return {factor, slope};
}

}  // namespace firstshot
