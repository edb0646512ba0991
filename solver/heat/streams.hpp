// What melt carries from one control volume to the next, by its place in the flow and not by its
// place in the gap. Layers keep their order on the way: the share ψ of the flow that runs between
// the mid plane (or the fixed wall) and a streamline stays the same when a round runner becomes a
// flat gate or when the core grows faster than the rest. So temperature is handed on as T(ψ),
// straight within a layer with a limited slope, and divided anew among the layers downstream. Heat
// is kept to rounding and no temperature goes beyond those upstream.
//
// Handing on by layer number and letting the difference flow across the layers mixes each of them:
// an error of first order in the number of layers, 4 % of the pressure of a kit frame at 20 layers.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace firstshot {

class Streams {
 public:
  Streams(std::size_t nodes, std::size_t columns);

  /// Notes what leaves a node. @param flow share of the flow in each column (n_columns), sum 1
  /// @param temperature (n_columns) [K]
  void leave(std::size_t node, std::span<const double> flow, std::span<const double> temperature);

  /// Adds what `upstream` sends: q ∫ T dψ over each column's range of ψ.
  /// @param rate q ≥ 0 [m³/s] @param temperature of `upstream` as it left (n_columns) [K] @param
  /// upper upper end of ψ in each column downstream (n_columns), the last 1 @param heat in and out:
  /// Σ q T (n_columns) [m³ K/s]
  void arrive(std::size_t upstream, double rate, std::span<const double> temperature,
              std::span<const double> upper, std::span<double> heat) const;

 private:
  std::size_t columns_;
  // (n_nodes, n_columns) each: upper end of ψ, dT/dψ.
  std::vector<double> upper_, slope_;
};

/// Running sum of shares, the last entry exactly 1.
void cumulate(std::span<const double> share, std::span<double> upper);

}  // namespace firstshot
