// Flow and cooling of a melt in a straight channel of any runner section.
//
//   mean wall stress   τ_w = G D_h/4 = K (8V/D_h (b + a/n))^n   [Kozicki1966]
//
// G: pressure gradient [Pa/m], D_h = 4 A/P: hydraulic diameter [m], V: mean velocity [m/s], K, n:
// power law τ = K γ̇^n. Kozicki takes a and b as constants of the section; here b + a/n is the
// section's own solution at each n (duct_solution), so that it is exact for a power law (round: b +
// a/n = 3/4 + 1/(4n)). f Re = 16 (a + b) at n = 1. A melt whose slope changes with the stress takes
// n at the wall stress.
#pragma once

#include <array>
#include <map>

#include "mesh/section.hpp"
#include "solver/flow/duct_solution.hpp"

namespace firstshot {

/// D √λ1 of a pipe [-]: twice the first zero of J0.
inline constexpr double pipe_eigenvalue_root = 2.0 * 2.404825557695773;

/// What the shape of a section decides, free of its size.
struct DuctNumbers {
  std::array<double, duct_flow_indices.size()> shape{};  ///< b + a/n at duct_flow_indices [-]
  double thermal_ratio = 0.0;  ///< thermal diameter / hydraulic diameter [-]
};
/// Solved for exactly this section; about 10 ms, nothing for a round one. Throws Error as
/// solve_duct.
DuctNumbers duct_numbers(const Section& section);

/// Numbers of the shapes met so far. Between shapes solved on a fixed grid of proportions they are
/// mixed, so that a tapered runner or a search over widths costs few solves and sees no jumps. The
/// mixing changes b + a/n by less than 0.1 % (n ≥ 0.25) where a trapezoid's narrow side is at least
/// 0.4 of the wide one, by up to 0.4 % for flat triangles. The result does not depend on the order
/// of the questions.
class SectionFlowTable {
 public:
  /// Numbers for a section of any size. Throws Error when the section has no area.
  DuctNumbers numbers(const Section& section);
  std::size_t solved() const { return known_.size(); }

 private:
  using Key = std::array<int, 3>;  // kind, place on the grid of proportions
  const DuctNumbers& at(const Key& key);
  std::map<Key, DuctNumbers> known_;
};

/// One section with its numbers at hand.
class SectionFlow {
 public:
  /// Solves the section itself.
  explicit SectionFlow(const Section& section);
  /// Takes the numbers from the table, adding to it where needed.
  SectionFlow(const Section& section, SectionFlowTable& table);

  /// b + a/n [-] for a flow index 0 < n ≤ 1. Between the tabulated indices n (b + a/n) is a
  /// polynomial in n (a straight line for a pipe or a slit); below the last it goes on as a
  /// straight line.
  double shape(double n) const;
  double area() const { return area_; }                              ///< [m²]
  double hydraulic_diameter() const { return hydraulic_diameter_; }  ///< 4 A/P [m]
  /// Diameter of the pipe whose slowest way of cooling through the wall is as fast,
  /// pipe_eigenvalue_root/√λ1 [m].
  double thermal_diameter() const { return thermal_diameter_; }

 private:
  SectionFlow(const Section& section, const DuctNumbers& numbers);

  double area_;
  double hydraulic_diameter_;
  double thermal_diameter_;
  std::array<double, duct_flow_indices.size()>
      divided_;  // Newton's divided differences of n (b + a/n)
};

}  // namespace firstshot
