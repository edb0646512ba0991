// Fluidity of every triangle and 1D element for the present temperatures, found on the flux side.
//
// With n ≈ 0.25 a fixed point on the gradient diverges. Here each linear solution gives a flux q =
// S |∇p|; the gradient g that carries this flux, Q(g) = q, is found by Newton steps in logarithms
// (monotone), and S = q/g enters the next solution. Continuity stays exact at every iteration
// because it is the linear part. Sections of 1D elements: mean wall stress τ_w = G Dh/4 and 8V/Dh
// (b + a/n) with the melt's local exponent n = d ln τ / d ln Q [Kozicki1966], tabulated exactly per
// section shape (section_flow.hpp).
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "solver/flow/control_volumes.hpp"
#include "solver/flow/gap_flow.hpp"
#include "solver/flow/section_flow.hpp"
#include "solver/flow/side_wall.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// State of the iteration; the arrays live in the caller's State.
struct MobilityState {
  std::span<double> gradient;       ///< |∇p| that carries the flux (n_triangles) [Pa/m]
  std::span<double> neutral;        ///< z₀ / half gap (n_triangles) [-]
  std::span<double> fluidity;       ///< S (n_triangles) [m³/(Pa s)]
  std::span<double> line_gradient;  ///< (n_lines) [Pa/m]
  std::span<double> line_fluidity;  ///< C (n_lines) [m⁵/(Pa s)]
};

/// What has happened to the melt's layers since the last update.
enum class Melt { changed, same };

class Mobility {
 public:
  Mobility(const Setup& setup, const GapGrid& grid, const ReducedCurve& curve);

  const ControlVolumes& volumes() const { return volumes_; }

  /// Gradients and fluidities for melt moving at `velocity` [m/s] everywhere: the first guess.
  /// @param inverse 1/η₀ (n_nodes, n_columns) [1/(Pa s)]
  void guess(std::span<const double> inverse, double velocity, MobilityState state) const;

  /// One update from pressures (n_nodes): new gradients and fluidities. While the melt stays the
  /// same, the flow at the last gradient is known, and a gradient that moves by less than a share
  /// of the tolerance takes the fluidity along its slope.
  /// @return change of ln S, root of the mean of squares weighted with the dissipation [-]
  double update(std::span<const double> inverse, std::span<const double> pressure,
                MobilityState state, Melt melt = Melt::changed);

  /// Conductance of every edge for these fluidities (n_edges) [m³/(Pa s)].
  void conductance(const MobilityState& state, std::span<double> conductance) const;

  /// Gradient at the nodes for their velocity profile, scaled to the node's own half gap (n_nodes)
  /// [Pa/m].
  void node_gradient(const MobilityState& state, std::span<double> gradient) const;
  /// Mean neutral plane at the nodes (n_nodes) [-].
  void node_neutral(const MobilityState& state, std::span<double> neutral) const;

  /// Largest shear rate of a 1D element at its present gradient [1/s].
  double line_shear_rate(std::span<const double> inverse, const MobilityState& state,
                         std::size_t line) const;

 private:
  struct Triangle {
    std::array<std::int32_t, 3> node;
    HatGradients hat;  // in the plane
    Point slope;       // of the wall
    double half_gap, area;
    double side_factor, gradient_factor;  // F and B of side_wall.hpp, less for entrance losses
  };
  struct Line {
    std::int32_t a, b;
    double radius;        // Dh/2 [m]
    double area, length;  // with entrance
    SectionFlow section;
  };
  template <class Flow>
  double follow(std::size_t slot, double slope, double& gradient, double& fluidity, Flow&& flow_at);
  GapFlow triangle_flow(std::span<const double> inverse, const Triangle& t, double gradient,
                        double& neutral, std::span<double> scratch) const;
  GapFlow line_flow(std::span<const double> inverse, const Line& l, double gradient,
                    std::span<double> scratch) const;
  void build_lines(const Setup& setup);
  void build_triangles(const Setup& setup, const SideWall& side);

  const GapGrid& grid_;
  const ReducedCurve& curve_;
  ControlVolumes volumes_;
  std::vector<Triangle> triangles_;
  std::vector<Line> lines_;
  std::vector<double> thermal_radius_;
  double small_step_ = 0.0;  // of ln g, that follows the slope
  // Triangles, then lines:
  std::vector<double> steepness_;           // d ln flow / d ln g at the last gradient
  std::vector<std::uint8_t> known_;         // whether that holds for the present melt
  std::vector<double> change_, weight_;     // of one update
  std::vector<std::int32_t> node_start_;    // (n_nodes + 1)
  std::vector<std::int32_t> node_element_;  // triangle, or -1 - line
};

}  // namespace firstshot
