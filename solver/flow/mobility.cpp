#include "solver/flow/mobility.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "solver/flow/side_wall.hpp"
#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

/// Viscosity that stands for "solid" in the pressure solution [Pa s]; keeps the matrix regular.
constexpr double solid_viscosity = 1e9;
constexpr double least_flow_gradient = 1e-2;  ///< [Pa/m]
constexpr int newton_steps = 2;
/// Fewer lines stay on the calling thread: each costs as much as many items of other loops.
constexpr std::size_t few_lines = 200;

/// Share of the tolerance of a step below which a gradient's move is small.
constexpr double small_share = 0.3;

/// Gradient that carries `flow`: Newton steps in ln g from the present g, where the flow is `f`.
/// ln Q is convex in ln g: a step from far below (melt that hardly moved) lands above, the next
/// ones fall towards the solution, so steps need no limit.
template <class Flow>
GapFlow find_gradient(double flow, double& gradient, GapFlow f, Flow&& flow_at) {
  double g = gradient;
  for (int i = 0; i < newton_steps; ++i) {
    if (!(f.fluidity > 0.0) || !(flow > 0.0)) break;
    g = std::max(g * std::exp(std::log(flow / (f.fluidity * g)) / f.steepness),
                 least_flow_gradient);
    f = flow_at(g);
    constexpr double close_enough = 3e-2;  // the next step would be a thousandth: along the slope
    const double rest = std::log(flow / (f.fluidity * g)) / f.steepness;
    if (std::abs(rest) > close_enough) continue;
    g *= 1.0 + rest;
    f.fluidity *= 1.0 + (f.steepness - 1.0) * rest;
    break;
  }
  gradient = g;
  return f;
}

}  // namespace

Mobility::Mobility(const Setup& setup, const GapGrid& grid, const ReducedCurve& curve)
    : grid_(grid), curve_(curve) {
  small_step_ = grid.walls_differ() ? 0.0 : small_share * setup.accuracy.tolerance;
  build_lines(setup);
  const SideWall side = side_wall(setup.model);
  volumes_ =
      control_volumes(setup.model, thermal_radius_, {side.thermal_gap.span(), side.contact.span()});
  build_triangles(setup, side);
  steepness_.assign(triangles_.size() + lines_.size(), 1.0);
  known_.assign(steepness_.size(), 0);
  change_.resize(steepness_.size());
  weight_.resize(steepness_.size());
  const std::size_t n = volumes_.n_nodes();
  node_start_.assign(n + 1, 0);
  for (const auto& t : triangles_)
    for (auto i : t.node) ++node_start_[i + 1];
  for (const auto& l : lines_) {
    ++node_start_[l.a + 1];
    ++node_start_[l.b + 1];
  }
  std::partial_sum(node_start_.begin(), node_start_.end(), node_start_.begin());
  node_element_.resize(static_cast<std::size_t>(node_start_.back()));
  std::vector<std::int32_t> next(node_start_.begin(), node_start_.end() - 1);
  for (std::size_t k = 0; k < triangles_.size(); ++k)
    for (auto i : triangles_[k].node) node_element_[next[i]++] = static_cast<std::int32_t>(k);
  for (std::size_t k = 0; k < lines_.size(); ++k)
    for (auto i : {lines_[k].a, lines_[k].b})
      node_element_[next[i]++] = -1 - static_cast<std::int32_t>(k);
}

void Mobility::build_lines(const Setup& setup) {
  SectionFlowTable table;
  const Model& model = setup.model;
  for (std::size_t k = 0; k < model.lines.size(); ++k) {
    const LineElement& e = model.lines[make_id<LineId>(k)];
    const Section section = mix(e.start, e.end, 0.5);
    const SectionFlow flow(section, table);
    const double length = e.length + setup.process.entrance_length * e.entrance_radius;
    lines_.push_back({static_cast<std::int32_t>(e.from), static_cast<std::int32_t>(e.to),
                      0.5 * flow.hydraulic_diameter(), flow.area(), length, flow});
    thermal_radius_.push_back(0.5 * flow.thermal_diameter());
  }
}

void Mobility::build_triangles(const Setup& setup, const SideWall& side) {
  const Model& model = setup.model;
  for (std::size_t k = 0; k < model.mesh.triangles.size(); ++k) {
    const auto id = make_id<TriId>(k);
    Triangle t{};
    for (std::size_t c = 0; c < 3; ++c)
      t.node[c] = static_cast<std::int32_t>(model.node_of_vertex[model.mesh.triangles[id][c]]);
    t.hat = hat_gradients(model.mesh, id);
    t.area = lifted_area(model.mesh, id);
    if (!model.mesh.slope.empty()) t.slope = model.mesh.slope[id];
    t.half_gap = 0.5 * model.thickness[id];
    // An entrance loss is that of an extra length: laid over a length L it leaves the share
    // L / (L + extra) of the gradient to the flow.
    const double longer =
        model.entrance.empty() ? 1.0 : 1.0 + setup.process.entrance_length * model.entrance[id];
    t.side_factor = side.factor[id] / longer;
    t.gradient_factor = side.gradient_factor[id] / longer;
    triangles_.push_back(t);
  }
}

GapFlow Mobility::triangle_flow(std::span<const double> inverse, const Triangle& t, double gradient,
                                double& neutral, std::span<double> scratch) const {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const double* a = inverse.data() + static_cast<std::size_t>(t.node[0]) * n;
  const double* b = inverse.data() + static_cast<std::size_t>(t.node[1]) * n;
  const double* c = inverse.data() + static_cast<std::size_t>(t.node[2]) * n;
  for (std::size_t l = 0; l < n; ++l) scratch[l] = (a[l] + b[l] + c[l]) / 3.0;
  GapFlow f =
      slit_flow({curve_, grid_, scratch}, t.half_gap, t.gradient_factor * gradient, neutral);
  const double floor = 2.0 / 3.0 * t.half_gap * t.half_gap * t.half_gap / solid_viscosity;
  f.fluidity = std::max(t.side_factor * f.fluidity, floor);
  return f;
}

GapFlow Mobility::line_flow(std::span<const double> inverse, const Line& l, double gradient,
                            std::span<double> scratch) const {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const double* a = inverse.data() + static_cast<std::size_t>(l.a) * n;
  const double* b = inverse.data() + static_cast<std::size_t>(l.b) * n;
  for (std::size_t c = 0; c < n; ++c) scratch[c] = 0.5 * (a[c] + b[c]);
  // A circle of diameter Dh has the same wall stress G Dh/4; the section's mean velocity follows by
  // shape.
  GapFlow f = round_flow({curve_, grid_, scratch}, l.radius, gradient);
  const double circle = std::numbers::pi * l.radius * l.radius;
  const double floor = l.area * l.radius * l.radius / (8.0 * solid_viscosity);
  const double n_local = 1.0 / f.steepness;
  const double shape = (0.75 + 0.25 * f.steepness) / l.section.shape(n_local);
  f.fluidity = std::max(f.fluidity * l.area / circle * shape, floor);
  return f;
}

void Mobility::guess(std::span<const double> inverse, double velocity, MobilityState state) const {
  const auto n = static_cast<std::size_t>(grid_.columns());
  constexpr int rounds = 12;
  constexpr double first_gradient = 1e6;
  const auto search = [](double flow, double& gradient, auto&& flow_at) {
    gradient = first_gradient;
    GapFlow f = flow_at(gradient);
    for (int i = 0; i < rounds; ++i) f = find_gradient(flow, gradient, f, flow_at);
    return f.fluidity;
  };
  parallel_chunks(triangles_.size(), [&](std::size_t begin, std::size_t end) {
    std::vector<double> scratch(n);
    for (std::size_t k = begin; k < end; ++k) {
      const Triangle& t = triangles_[k];
      state.fluidity[k] = search(velocity * 2.0 * t.half_gap, state.gradient[k], [&](double g) {
        return triangle_flow(inverse, t, g, state.neutral[k], scratch);
      });
    }
  });
  std::vector<double> scratch(n);
  for (std::size_t k = 0; k < lines_.size(); ++k)
    state.line_fluidity[k] =
        search(velocity * lines_[k].area, state.line_gradient[k],
               [&](double g) { return line_flow(inverse, lines_[k], g, scratch); });
}

/// New gradient and fluidity of an element under the pressure gradient `slope` > 0.
/// @return change of ln S
template <class Flow>
double Mobility::follow(std::size_t slot, double slope, double& gradient, double& fluidity,
                        Flow&& flow_at) {
  const double before = fluidity;
  double& steepness = steepness_[slot];
  gradient = std::max(gradient, least_flow_gradient);
  GapFlow f{before, steepness};
  if (known_[slot] == 0) {
    f = flow_at(gradient);
    known_[slot] = 1;
  } else {
    const double step = std::log(slope / gradient) / steepness;
    if (std::abs(step) < small_step_) {
      gradient *= 1.0 + step;
      fluidity *= 1.0 + (steepness - 1.0) * step;
      return (steepness - 1.0) * step;
    }
  }
  f = find_gradient(before * slope, gradient, f, flow_at);
  fluidity = f.fluidity;
  steepness = f.steepness;
  return std::log(fluidity / before);
}

double Mobility::update(std::span<const double> inverse, std::span<const double> pressure,
                        MobilityState state, Melt melt) {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const std::size_t n_tri = triangles_.size();
  if (melt == Melt::changed) std::fill(known_.begin(), known_.end(), 0);
  const auto record = [&](std::size_t slot, double dissipation, double log_ratio) {
    weight_[slot] = dissipation;
    change_[slot] = dissipation * log_ratio * log_ratio;
  };
  parallel_chunks(n_tri, [&](std::size_t begin, std::size_t end) {
    std::vector<double> scratch(n);
    for (std::size_t k = begin; k < end; ++k) {
      const Triangle& t = triangles_[k];
      record(k, 0.0, 0.0);
      // Among air of one pressure rounding would make a gradient, and a fluidity of melt at rest.
      const double p = pressure[t.node[0]];
      if (pressure[t.node[1]] == p && pressure[t.node[2]] == p) continue;
      double gx = 0.0;
      double gy = 0.0;
      for (std::size_t c = 0; c < 3; ++c) {
        gx += pressure[t.node[c]] * t.hat.x[c];
        gy += pressure[t.node[c]] * t.hat.y[c];
      }
      const double along = gx * t.slope.x + gy * t.slope.y;
      const double rise = 1.0 + t.slope.x * t.slope.x + t.slope.y * t.slope.y;
      // On a sloping wall the way is longer than in the plane, and the gradient smaller.
      const double slope = std::sqrt(gx * gx + gy * gy - along * along / rise);
      if (slope <= 0.0) continue;
      const double dissipation = state.fluidity[k] * slope * slope * t.area;
      const double log_ratio =
          follow(k, slope, state.gradient[k], state.fluidity[k],
                 [&](double g) { return triangle_flow(inverse, t, g, state.neutral[k], scratch); });
      record(k, dissipation, log_ratio);
    }
  });
  parallel_chunks(
      lines_.size(),
      [&](std::size_t begin, std::size_t end) {
        std::vector<double> scratch(n);
        for (std::size_t k = begin; k < end; ++k) {
          const Line& l = lines_[k];
          const double slope = std::abs(pressure[l.a] - pressure[l.b]) / l.length;
          record(n_tri + k, 0.0, 0.0);
          if (slope <= 0.0) continue;
          const double dissipation = state.line_fluidity[k] * slope * slope * l.length;
          const double log_ratio =
              follow(n_tri + k, slope, state.line_gradient[k], state.line_fluidity[k],
                     [&](double g) { return line_flow(inverse, l, g, scratch); });
          record(n_tri + k, dissipation, log_ratio);
        }
      },
      few_lines);
  const double total = ordered_sum(weight_);
  return total > 0.0 ? std::sqrt(ordered_sum(change_) / total) : 0.0;
}

void Mobility::conductance(const MobilityState& state, std::span<double> conductance) const {
  std::vector<double> line(lines_.size());
  for (std::size_t k = 0; k < lines_.size(); ++k)
    line[k] = state.line_fluidity[k] / lines_[k].length;
  edge_conductance(volumes_, state.fluidity, line, conductance);
}

void Mobility::node_gradient(const MobilityState& state, std::span<double> gradient) const {
  parallel_for(volumes_.n_nodes(), [&](std::size_t i) {
    double sum = 0.0;
    double weight = 0.0;
    const bool round = volumes_.round[i] != 0;
    for (std::int32_t k = node_start_[i]; k < node_start_[i + 1]; ++k) {
      const std::int32_t element = node_element_[k];
      if (element >= 0 && !round) {
        const Triangle& t = triangles_[element];
        sum += t.area * t.gradient_factor * state.gradient[element] * t.half_gap;
        weight += t.area;
      } else if (element < 0 && round) {
        const std::int32_t line = -1 - element;
        sum += state.line_gradient[line] * lines_[line].radius;
        weight += 1.0;
      }
    }
    gradient[i] = weight > 0.0 ? sum / (weight * volumes_.half_gap[i]) : 0.0;
  });
}

void Mobility::node_neutral(const MobilityState& state, std::span<double> neutral) const {
  parallel_for(volumes_.n_nodes(), [&](std::size_t i) {
    double sum = 0.0;
    int count = 0;
    for (std::int32_t k = node_start_[i]; k < node_start_[i + 1]; ++k)
      if (node_element_[k] >= 0) {
        sum += state.neutral[node_element_[k]];
        ++count;
      }
    neutral[i] = count > 0 ? sum / count : 0.0;
  });
}

double Mobility::line_shear_rate(std::span<const double> inverse, const MobilityState& state,
                                 std::size_t line) const {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const Line& l = lines_[line];
  std::vector<double> mean(n);
  for (std::size_t c = 0; c < n; ++c)
    mean[c] = 0.5 * (inverse[static_cast<std::size_t>(l.a) * n + c] +
                     inverse[static_cast<std::size_t>(l.b) * n + c]);
  GapProfile profile;
  round_profile({curve_, grid_, mean}, l.radius, state.line_gradient[line], profile);
  return profile.shear_rate;
}

}  // namespace firstshot
