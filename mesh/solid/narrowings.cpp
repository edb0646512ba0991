#include "mesh/solid/narrowings.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "mesh/solid/channel_tree.hpp"

namespace firstshot {
namespace {

/// Smaller by less than this share is taper, or the mesh.
constexpr double same_area_share = 0.08;
/// A channel may lose this share more per its own width of way and still be one that tapers; a
/// branch over at most so many widths, since sections beside a joint say nothing.
constexpr double taper_per_width = 0.07, most_taper_widths = 2.0;
/// Widths of the smaller channel: looked back, looked ahead, over which the loss is laid.
constexpr double look_back = 2.0, look_ahead = 1.25, loss_length = 1.0;
/// The end of a channel is no narrowing: share of what is left of it that is looked at, and the
/// widths that must be left.
constexpr double share_ahead = 0.6, least_ahead = 1.5;

class Finder {
 public:
  Finder(const ChannelTree& tree, double first_area) : tree_(tree), first_area_(first_area) {
    const std::size_t n = tree.sections.size();
    children_.resize(n);
    left_.assign(n, 0);
    for (std::size_t i = n; i-- > 0;) {
      const std::int32_t parent = tree.sections[i].parent;
      if (parent < 0) continue;
      children_[parent].push_back(static_cast<std::int32_t>(i));
      left_[parent] = std::max(left_[parent], left_[i] + 1);
    }
  }

  /// Hydraulic radii per length of each section (n_sections) [-].
  std::vector<double> run() {
    std::vector<double> share(tree_.sections.size(), 0.0);
    std::vector<std::int32_t> until(tree_.sections.size(), -1);  // level of the last one's end
    for (std::size_t i = 0; i < tree_.sections.size(); ++i) {
      const ChannelSection& s = tree_.sections[i];
      if (s.parent >= 0) until[i] = std::max(until[i], until[s.parent]);
      const auto here = static_cast<std::int32_t>(i);
      if (s.level <= until[i] && !branches_off(here)) continue;
      const std::int32_t narrow = smallest_ahead(here);
      const ChannelSection& n = tree_.sections[narrow];
      if (!is_narrowing(here, n, until[i] >= 0)) continue;
      until[i] = s.level + levels(look_ahead * n.width);
      const int length = std::clamp(levels(loss_length * n.width), 1, left_[i] + 1);
      lay(here, length, 2.0 * n.area / n.perimeter / (length * tree_.step), share);
    }
    return share;
  }

 private:
  int levels(double length) const {
    return std::max(1, static_cast<int>(std::lround(length / tree_.step)));
  }
  bool branches_off(std::int32_t i) const {
    const std::int32_t parent = tree_.sections[i].parent;
    return parent >= 0 && children_[parent].size() > 1;
  }
  std::int32_t longest_child(std::int32_t i) const {
    std::int32_t best = -1;
    for (const std::int32_t c : children_[i])
      if (best < 0 || left_[c] > left_[best]) best = c;
    return best;
  }

  /// Whether channels part here that both go on for more than their width.
  bool divides(std::int32_t i) const {
    const auto goes_on = [&](std::int32_t c) {
      return left_[c] >= levels(tree_.sections[c].width);
    };
    return std::count_if(children_[i].begin(), children_[i].end(), goes_on) > 1;
  }

  /// The smallest section over the next stretch of one channel.
  std::int32_t smallest_ahead(std::int32_t i) const {
    std::int32_t best = i;
    const auto reach = static_cast<int>(share_ahead * left_[i]);
    std::int32_t at = i;
    for (int k = 0; k < reach; ++k) {
      if (divides(at)) break;
      at = longest_child(at);
      if (k > levels(look_ahead * tree_.sections[best].width)) break;
      if (tree_.sections[at].area < tree_.sections[best].area) best = at;
    }
    return best;
  }

  /// @param after_another whether there is one between this place and the start
  bool is_narrowing(std::int32_t i, const ChannelSection& narrow, bool after_another) const {
    if (left_[i] < levels(least_ahead * narrow.width)) return false;
    const int reach = levels(look_back * narrow.width);
    const ChannelSection* before = nullptr;
    std::int32_t at = tree_.sections[i].parent;
    int k = 0;
    for (; at >= 0 && k < reach; ++k, at = tree_.sections[at].parent)
      if (before == nullptr || tree_.sections[at].area < before->area) before = &tree_.sections[at];
    // What the sprue's foot feeds comes from there.
    if (k < reach) return !after_another && narrow.area < (1.0 - same_area_share) * first_area_;
    double widths = (narrow.level - before->level) * tree_.step / narrow.width;
    if (branches_off(i)) widths = std::min(widths, most_taper_widths);
    const double taper = taper_per_width * widths;
    return narrow.area < (1.0 - same_area_share - taper) * before->area;
  }

  void lay(std::int32_t from, int length, double amount, std::vector<double>& share) const {
    std::vector<std::int32_t> open = {from};
    const std::int32_t end = tree_.sections[from].level + length;
    while (!open.empty()) {
      const std::int32_t i = open.back();
      open.pop_back();
      if (tree_.sections[i].level >= end) continue;
      share[i] += amount;
      open.insert(open.end(), children_[i].begin(), children_[i].end());
    }
  }

  const ChannelTree& tree_;
  double first_area_;
  std::vector<std::vector<std::int32_t>> children_;
  std::vector<int> left_;  // levels to the furthest end
};

}  // namespace

TriField<double> entrance_shares(const Model& model, double first_area) {
  TriField<double> shares(model.mesh.triangles.size());
  const ChannelTree tree = runner_tree(model);
  if (tree.sections.empty()) return shares;
  const std::vector<double> of_section = Finder(tree, first_area).run();
  for (std::size_t t = 0; t < shares.size(); ++t)
    if (tree.section_of[t] >= 0) shares[make_id<TriId>(t)] = of_section[tree.section_of[t]];
  return shares;
}

}  // namespace firstshot
