#include "solver/flow/section_flow.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

// Grid of proportions: steps of the logarithm of width over depth, and of the narrow over the wide
// side.
constexpr double proportion_step = 0.05;
constexpr double taper_step = 0.05;

enum Kind { round_kind, half_round_kind, trapezoid_kind, rectangle_kind };

struct Proportions {
  Kind kind;
  double log_ratio, taper;  // ln(width/depth), narrow side / wide side
};

Proportions proportions(const Section& section) {
  if (std::holds_alternative<RoundSection>(section)) return {round_kind, 0.0, 0.0};
  if (std::holds_alternative<HalfRoundSection>(section)) return {half_round_kind, 0.0, 0.0};
  if (const auto* r = std::get_if<RectangleSection>(&section))
    return {rectangle_kind, std::abs(std::log(r->width / r->depth)), 0.0};
  const auto& t = std::get<TrapezoidSection>(section);
  const double narrow =
      std::max(0.0, t.width - 2.0 * t.depth * std::tan(t.draft_deg * std::numbers::pi / 180.0));
  return {trapezoid_kind, std::log(0.5 * (t.width + narrow) / t.depth), narrow / t.width};
}

// The section of depth 1 at a place of the grid.
Section grid_section(int kind, int i, int j) {
  const double ratio = std::exp(proportion_step * i);
  if (kind == round_kind) return RoundSection{1.0};
  if (kind == half_round_kind) return HalfRoundSection{2.0};
  if (kind == rectangle_kind) return RectangleSection{ratio, 1.0};
  const double taper = taper_step * j;
  const double wide = 2.0 * ratio / (1.0 + taper);
  const double draft = std::atan(0.5 * wide * (1.0 - taper));
  return TrapezoidSection{wide, 1.0, draft * 180.0 / std::numbers::pi};
}

void require_area(const Section& section) {
  if (!(area(section) > 0.0)) throw Error("a runner section must have an area above 0");
}

void add(DuctNumbers& sum, double weight, const DuctNumbers& part) {
  for (std::size_t k = 0; k < sum.shape.size(); ++k) sum.shape[k] += weight * part.shape[k];
  sum.thermal_ratio += weight * part.thermal_ratio;
}

}  // namespace

DuctNumbers duct_numbers(const Section& section) {
  require_area(section);
  DuctNumbers numbers;
  if (std::holds_alternative<RoundSection>(section)) {
    for (std::size_t k = 0; k < numbers.shape.size(); ++k)
      numbers.shape[k] = 0.75 + 0.25 / duct_flow_indices[k];
    numbers.thermal_ratio = 1.0;
    return numbers;
  }
  const DuctSolution solution = solve_duct(section);
  numbers.shape = solution.shape;
  numbers.thermal_ratio =
      pipe_eigenvalue_root / std::sqrt(solution.eigenvalue) / hydraulic_diameter(section);
  return numbers;
}

const DuctNumbers& SectionFlowTable::at(const Key& key) {
  const auto found = known_.find(key);
  if (found != known_.end()) return found->second;
  return known_.emplace(key, duct_numbers(grid_section(key[0], key[1], key[2]))).first->second;
}

DuctNumbers SectionFlowTable::numbers(const Section& section) {
  require_area(section);
  const Proportions p = proportions(section);
  const double s = p.log_ratio / proportion_step;
  const double t = p.taper / taper_step;
  const int i = static_cast<int>(std::floor(s));
  const int j = static_cast<int>(std::floor(t));
  const std::array<double, 2> weight_s = {1.0 - (s - i), s - i};
  const std::array<double, 2> weight_t = {1.0 - (t - j), t - j};
  constexpr double negligible = 1e-9;  // a shape with less weight need not be solved
  DuctNumbers sum;
  for (int a = 0; a < 2; ++a)
    for (int b = 0; b < 2; ++b)
      if (const double weight = weight_s[a] * weight_t[b]; weight > negligible)
        add(sum, weight, at({p.kind, i + a, j + b}));
  return sum;
}

SectionFlow::SectionFlow(const Section& section) : SectionFlow(section, duct_numbers(section)) {}

SectionFlow::SectionFlow(const Section& section, SectionFlowTable& table)
    : SectionFlow(section, table.numbers(section)) {}

SectionFlow::SectionFlow(const Section& section, const DuctNumbers& numbers)
    : area_(firstshot::area(section)),
      hydraulic_diameter_(firstshot::hydraulic_diameter(section)),
      thermal_diameter_(numbers.thermal_ratio * hydraulic_diameter_) {
  const auto& n = duct_flow_indices;
  for (std::size_t k = 0; k < n.size(); ++k) divided_[k] = n[k] * numbers.shape[k];
  for (std::size_t order = 1; order < n.size(); ++order)
    for (std::size_t k = n.size() - 1; k >= order; --k)
      divided_[k] = (divided_[k] - divided_[k - 1]) / (n[k] - n[k - order]);
}

double SectionFlow::shape(double n) const {
  const double inside = std::clamp(n, duct_flow_indices.back(), duct_flow_indices.front());
  double value = divided_.back();
  double slope = 0.0;
  for (std::size_t k = divided_.size() - 1; k-- > 0;) {
    slope = value + (inside - duct_flow_indices[k]) * slope;
    value = divided_[k] + (inside - duct_flow_indices[k]) * value;
  }
  return (value + (n - inside) * slope) / n;
}

}  // namespace firstshot
