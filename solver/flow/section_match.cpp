#include "solver/flow/section_match.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <queue>
#include <vector>

#include "mesh/plane.hpp"
#include "mesh/solid/channel_tree.hpp"
#include "mesh/solid/gate_shape.hpp"
#include "solver/flow/rectangle_duct.hpp"
#include "solver/flow/section_flow.hpp"

namespace firstshot {
namespace {

/// A section is one of a straight channel when area and width stay within this share over so many
/// of its widths before and after it.
constexpr double steady_share = 0.06, steady_widths = 0.5;
/// Joints take the numbers of the nearest section within so many of that one's widths.
constexpr double borrowed_widths = 3.0;
/// Numbers are the mean over so many widths to both sides: single sections carry the mesh's noise.
constexpr double mean_widths = 0.5;
/// Perimeter of the section that is taken for it may differ by this share.
constexpr double perimeter_share = 0.06;
/// What is less full than this is none of the drawn kinds.
constexpr double least_filled = 0.55;
/// Index of the melt at which B is matched; F is at 1.
constexpr double matched_index = 0.25;
/// Numbers beyond this are no correction: the section was taken for what it is not.
constexpr double most_change = 1.5;

/// Flow per (gradient/K)^(1/n) of a section [m^(3+1/n)].
double exact_flow(const SectionFlow& section, double n) {
  const double D = section.hydraulic_diameter();
  return section.area() * D / (8.0 * section.shape(n)) * std::pow(0.25 * D, 1.0 / n);
}

/// The same of one strip of slit with F and B, per length of the section.
double strip_flow(double h, double factor, double gradient_factor, double n) {
  return factor * std::pow(gradient_factor, 1.0 / n - 1.0) * h * h / (2.0 * (2.0 + 1.0 / n)) *
         std::pow(0.5 * h, 1.0 / n);
}

struct Match {
  double log_factor = 0.0, log_gradient = 0.0;  ///< logarithms of the changes of F and B
  CoolingSlab slab;                             ///< its gap in [m]
};

class Matcher {
 public:
  Matcher(const Model& model, SideWall& wall)
      : model_(model), wall_(wall), tree_(runner_tree(model)) {}

  void run() {
    if (tree_.sections.empty()) return;
    find_children();
    straighten();
    sum_flows();
    for (std::size_t i = 0; i < tree_.sections.size(); ++i)
      match_.push_back(is_steady(static_cast<std::int32_t>(i)) ? match(i) : std::nullopt);
    const std::vector<Match> known = averaged();
    const std::vector<std::int32_t> source = nearest_known();
    for (std::size_t t = 0; t < tree_.section_of.size(); ++t) {
      const std::int32_t s = tree_.section_of[t];
      if (s < 0 || source[s] < 0) continue;
      const TriId id = make_id<TriId>(t);
      const Match& m = known[source[s]];
      wall_.factor[id] *= std::exp(m.log_factor);
      wall_.gradient_factor[id] =
          std::min(1.0, wall_.gradient_factor[id] * std::exp(m.log_gradient));
      if (source[s] != s) continue;
      wall_.thermal_gap[id] = m.slab.gap;
      wall_.contact[id] = m.slab.contact;
    }
  }

 private:
  void find_children() {
    children_.resize(tree_.sections.size());
    for (std::size_t i = 0; i < tree_.sections.size(); ++i)
      if (tree_.sections[i].parent >= 0)
        children_[tree_.sections[i].parent].push_back(static_cast<std::int32_t>(i));
  }

  /// Lines of equal way bend behind a joint and waver with the mesh: a section is as wide as they
  /// are seen along the channel.
  void straighten() {
    std::vector<Point> sum(tree_.sections.size());
    for (const SectionPiece& piece : tree_.pieces)
      sum[piece.section] = sum[piece.section] + piece.length * piece.along;
    straight_.assign(sum.size(), 1.0);
    for (std::size_t i = 0; i < sum.size(); ++i) {
      ChannelSection& s = tree_.sections[i];
      if (!(s.width > 0.0)) continue;
      straight_[i] = norm(sum[i]) / s.width;
      s.width *= straight_[i];
      s.area *= straight_[i];
    }
  }

  void sum_flows() {
    newtonian_.assign(tree_.sections.size(), 0.0);
    thinning_ = newtonian_;
    for (const SectionPiece& piece : tree_.pieces) {
      const auto t = make_id<TriId>(piece.triangle);
      const double h = model_.thickness[t], F = wall_.factor[t], B = wall_.gradient_factor[t];
      const double width = straight_[piece.section] * piece.length;
      newtonian_[piece.section] += width * strip_flow(h, F, B, 1.0);
      thinning_[piece.section] += width * strip_flow(h, F, B, matched_index);
    }
  }

  int levels(double length) const {
    return std::max(1, static_cast<int>(std::lround(length / tree_.step)));
  }

  /// Whether the channel neither changes nor divides nor ends near a section.
  bool is_steady(std::int32_t i) const {
    const ChannelSection& own = tree_.sections[i];
    const auto alike = [&](std::int32_t other) {
      const ChannelSection& s = tree_.sections[other];
      return std::abs(s.area - own.area) < steady_share * own.area &&
             std::abs(s.width - own.width) < steady_share * own.width;
    };
    const int reach = levels(steady_widths * own.width);
    std::int32_t back = i, ahead = i;
    for (int k = 0; k < reach; ++k) {
      back = tree_.sections[back].parent;
      if (back < 0 || !alike(back)) return false;
      if (children_[ahead].size() != 1) return false;
      ahead = children_[ahead].front();
      if (!alike(ahead)) return false;
    }
    return true;
  }

  std::optional<Match> match(std::size_t i) {
    const ChannelSection& s = tree_.sections[i];
    SectionAcross across;
    across.width = s.width;
    across.depth = s.area / s.width;
    across.deepest = std::max(s.deepest, across.depth);
    across.perimeter = s.perimeter;
    if (across.depth < least_filled * across.deepest) return std::nullopt;
    const Section kind = alike_section(across, across);
    if (std::abs(perimeter(kind) - s.perimeter) > perimeter_share * s.perimeter)
      return std::nullopt;
    const SectionFlow flow(kind, table_);
    const double factor = exact_flow(flow, 1.0) / newtonian_[i];
    const double power = matched_index / (1.0 - matched_index);
    const double gradient =
        std::pow(exact_flow(flow, matched_index) / thinning_[i] / factor, power);
    for (const double change : {factor, gradient})
      if (!(change < most_change && change > 1.0 / most_change)) return std::nullopt;
    return Match{std::log(factor), std::log(gradient), cooling_slab(flow)};
  }

  /// The slab, gap in [m], that cools like the section: like the rectangle with the same area and
  /// slowest way of cooling, λA = π² (r + 1/r).
  static CoolingSlab cooling_slab(const SectionFlow& flow) {
    constexpr double pi2 = std::numbers::pi * std::numbers::pi;
    const double lambda = std::pow(pipe_eigenvalue_root / flow.thermal_diameter(), 2);
    const double sum = std::max(2.0, lambda * flow.area() / pi2);
    const double ratio = 0.5 * (sum - std::sqrt(sum * sum - 4.0));
    CoolingSlab slab = slab_of_rectangle(ratio);
    slab.gap *= std::sqrt((1.0 + ratio * ratio) * pi2 / lambda);
    return slab;
  }

  std::vector<Match> averaged() const {
    std::vector<Match> mean(match_.size());
    for (std::size_t i = 0; i < match_.size(); ++i) {
      if (!match_[i]) continue;
      Match sum = *match_[i];
      double log_gap = std::log(sum.slab.gap), n = 1.0;
      const int reach = levels(mean_widths * tree_.sections[i].width);
      const auto add = [&](std::int32_t s) {
        if (!match_[s]) return false;
        sum.log_factor += match_[s]->log_factor;
        sum.log_gradient += match_[s]->log_gradient;
        log_gap += std::log(match_[s]->slab.gap);
        n += 1.0;
        return true;
      };
      std::int32_t at = static_cast<std::int32_t>(i);
      for (int k = 0; k < reach; ++k) {
        at = tree_.sections[at].parent;
        if (at < 0 || !add(at)) break;
      }
      at = static_cast<std::int32_t>(i);
      for (int k = 0; k < reach && children_[at].size() == 1; ++k) {
        at = children_[at].front();
        if (!add(at)) break;
      }
      sum.slab.gap = std::exp(log_gap / n);
      mean[i] = {sum.log_factor / n, sum.log_gradient / n, sum.slab};
    }
    return mean;
  }

  /// Nearest matched section along the tree, -1 where none is near.
  std::vector<std::int32_t> nearest_known() const {
    std::vector<std::int32_t> source(match_.size(), -1);
    std::vector<int> steps(match_.size(), 0);
    std::queue<std::int32_t> next;
    for (std::size_t i = 0; i < match_.size(); ++i)
      if (match_[i]) {
        source[i] = static_cast<std::int32_t>(i);
        next.push(source[i]);
      }
    while (!next.empty()) {
      const std::int32_t i = next.front();
      next.pop();
      if (steps[i] >= levels(borrowed_widths * tree_.sections[source[i]].width)) continue;
      const auto reach = [&](std::int32_t other) {
        if (other < 0 || source[other] >= 0) return;
        source[other] = source[i];
        steps[other] = steps[i] + 1;
        next.push(other);
      };
      reach(tree_.sections[i].parent);
      for (const std::int32_t c : children_[i]) reach(c);
    }
    return source;
  }

  const Model& model_;
  SideWall& wall_;
  ChannelTree tree_;
  SectionFlowTable table_;
  std::vector<std::vector<std::int32_t>> children_;
  std::vector<double> straight_;              // (n_sections) width seen along the channel / length
  std::vector<double> newtonian_, thinning_;  // (n_sections) flow of the triangles
  std::vector<std::optional<Match>> match_;
};

}  // namespace

void match_sections(const Model& model, SideWall& wall) { Matcher(model, wall).run(); }

}  // namespace firstshot
