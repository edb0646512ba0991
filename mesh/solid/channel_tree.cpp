#include "mesh/solid/channel_tree.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <unordered_map>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Levels per length of the mean edge.
constexpr double levels_per_edge = 1.5;

class TreeBuilder {
 public:
  TreeBuilder(const Model& model, std::span<const std::uint8_t> inside, const Wave& wave,
              double step)
      : model_(model), inside_(inside), wave_(wave), step_(step) {}

  ChannelTree run() {
    list_crossings();
    join_crossings();
    number_sections();
    measure_sections();
    find_parents();
    return sorted();
  }

 private:
  /// First level above a way.
  std::int32_t level_above(double way) const {
    return static_cast<std::int32_t>(std::floor(way / step_ + 0.5));
  }
  double way_of(std::int32_t level) const { return (level + 0.5) * step_; }

  static std::uint64_t key(std::int32_t a, std::int32_t b) {
    return static_cast<std::uint64_t>(std::min(a, b)) << 32U |
           static_cast<std::uint64_t>(std::max(a, b));
  }

  /// Edge of the mesh with the levels that cross it.
  struct Edge {
    std::int32_t a = 0, b = 0;
    std::int32_t first_level = 0, n_levels = 0, offset = 0;
  };

  void list_crossings() {
    for (std::size_t t = 0; t < inside_.size(); ++t) {
      if (inside_[t] == 0) continue;
      const Triangle& corner = model_.mesh.triangles[make_id<TriId>(t)];
      for (std::size_t c = 0; c < 3; ++c) {
        const auto a = static_cast<std::int32_t>(corner[c]);
        const auto b = static_cast<std::int32_t>(corner[(c + 1) % 3]);
        const double ta = wave_.way[a], tb = wave_.way[b];
        if (!std::isfinite(ta) || !std::isfinite(tb)) continue;
        if (!edge_of_.try_emplace(key(a, b), edges_.size()).second) continue;
        Edge edge{a, b, level_above(std::min(ta, tb)), 0, n_crossings_};
        edge.n_levels = level_above(std::max(ta, tb)) - edge.first_level;
        n_crossings_ += edge.n_levels;
        edges_.push_back(edge);
      }
    }
    owner_.resize(static_cast<std::size_t>(n_crossings_));
    std::iota(owner_.begin(), owner_.end(), 0);
  }

  /// Crossing of an edge with a level, or -1.
  std::int32_t crossing(std::int32_t a, std::int32_t b, std::int32_t level) const {
    const auto found = edge_of_.find(key(a, b));
    if (found == edge_of_.end()) return -1;
    const Edge& edge = edges_[found->second];
    const std::int32_t k = level - edge.first_level;
    return k < 0 || k >= edge.n_levels ? -1 : edge.offset + k;
  }

  std::int32_t root(std::int32_t k) {
    while (owner_[k] != k) k = owner_[k] = owner_[owner_[k]];
    return k;
  }

  /// Calls use(triangle, level, corner between whose two sides the line runs).
  template <class Use>
  void each_segment(Use&& use) const {
    for (std::size_t t = 0; t < inside_.size(); ++t) {
      if (inside_[t] == 0) continue;
      const Triangle& corner = model_.mesh.triangles[make_id<TriId>(t)];
      std::array<double, 3> way;
      for (std::size_t c = 0; c < 3; ++c) way[c] = wave_.way[index(corner[c])];
      const auto [low, high] = std::minmax_element(way.begin(), way.end());
      if (!std::isfinite(*high)) continue;
      for (std::int32_t level = level_above(*low); level < level_above(*high); ++level)
        for (std::size_t c = 0; c < 3; ++c) {
          const bool over = way[c] > way_of(level);
          if ((way[(c + 1) % 3] > way_of(level)) == over ||
              (way[(c + 2) % 3] > way_of(level)) == over)
            continue;
          use(t, level, c);
          break;
        }
    }
  }

  std::array<std::int32_t, 2> crossings_beside(std::size_t t, std::int32_t level,
                                               std::size_t c) const {
    const Triangle& corner = model_.mesh.triangles[make_id<TriId>(t)];
    const auto tip = static_cast<std::int32_t>(corner[c]);
    return {crossing(tip, static_cast<std::int32_t>(corner[(c + 1) % 3]), level),
            crossing(tip, static_cast<std::int32_t>(corner[(c + 2) % 3]), level)};
  }

  void join_crossings() {
    each_segment([&](std::size_t t, std::int32_t level, std::size_t c) {
      const auto [a, b] = crossings_beside(t, level, c);
      if (a >= 0 && b >= 0) owner_[root(a)] = root(b);
    });
  }

  void number_sections() {
    section_.assign(owner_.size(), -1);
    for (const Edge& edge : edges_)
      for (std::int32_t k = 0; k < edge.n_levels; ++k) {
        const std::int32_t top = root(edge.offset + k);
        if (section_[top] < 0) {
          section_[top] = static_cast<std::int32_t>(tree_.sections.size());
          tree_.sections.push_back({edge.first_level + k, -1, 0.0, 0.0, 0.0, 0.0});
          crossed_.push_back({edge.a, edge.b});
        }
      }
  }

  std::int32_t section_at(std::int32_t crossing) {
    return crossing < 0 ? -1 : section_[root(crossing)];
  }

  void measure_sections() {
    // Chord where a line ends at a wall: 0 until one triangle has met it, then less than 0 once
    // a second has.
    std::vector<double> wall(owner_.size(), 0.0);
    each_segment([&](std::size_t t, std::int32_t level, std::size_t c) {
      const auto beside = crossings_beside(t, level, c);
      const std::int32_t s = section_at(beside[0]);
      if (s < 0) return;
      const TriId id = make_id<TriId>(t);
      const Triangle& corner = model_.mesh.triangles[id];
      const Relief& relief = model_.relief[id];
      std::array<Point, 2> end;
      std::array<double, 2> chord{}, middle{};
      for (std::size_t e = 0; e < 2; ++e) {
        const std::size_t o = (c + 1 + e) % 3;
        const double from = wave_.way[index(corner[c])], to = wave_.way[index(corner[o])];
        const double share = (way_of(level) - from) / (to - from);
        end[e] = between(model_.mesh.points[corner[c]], model_.mesh.points[corner[o]], share);
        chord[e] = relief.chord[c] + share * (relief.chord[o] - relief.chord[c]);
        middle[e] = relief.middle[c] + share * (relief.middle[o] - relief.middle[c]);
        if (beside[e] >= 0) wall[beside[e]] = wall[beside[e]] == 0.0 ? chord[e] : -1.0;
      }
      const double length = distance(end[0], end[1]);
      ChannelSection& section = tree_.sections[s];
      section.width += length;
      section.area += length * model_.thickness[id];
      section.deepest = std::max({section.deepest, chord[0], chord[1]});
      if (!(length > 0.0)) return;
      Point along = (1.0 / length) * turned_left(end[1] - end[0]);
      const Point tip = model_.mesh.points[corner[c]];
      const bool tip_later = wave_.way[index(corner[c])] > way_of(level);
      if ((dot(tip - end[0], along) > 0.0) != tip_later) along = -1.0 * along;
      tree_.pieces.push_back({s, static_cast<std::int32_t>(t), length, along});
      const double rise = middle[1] - middle[0], half = 0.5 * (chord[1] - chord[0]);
      section.perimeter += std::hypot(length, rise + half) + std::hypot(length, rise - half);
    });
    for (std::size_t k = 0; k < wall.size(); ++k)
      if (wall[k] > 0.0)
        tree_.sections[section_at(static_cast<std::int32_t>(k))].perimeter += wall[k];
  }

  void find_parents() {
    for (std::size_t s = 0; s < tree_.sections.size(); ++s) {
      ChannelSection& section = tree_.sections[s];
      auto [a, b] = crossed_[s];
      if (wave_.way[a] < wave_.way[b]) std::swap(a, b);
      section.parent = section_before(a, b, section.level - 1);
    }
    tree_.section_of.assign(inside_.size(), -1);
    for (std::size_t t = 0; t < inside_.size(); ++t) {
      if (inside_[t] == 0) continue;
      const Triangle& corner = model_.mesh.triangles[make_id<TriId>(t)];
      const VertexId last = *std::max_element(corner.begin(), corner.end(), [&](auto a, auto b) {
        return wave_.way[index(a)] < wave_.way[index(b)];
      });
      const double way = wave_.way[index(last)];
      if (!std::isfinite(way) || wave_.from[index(last)] < 0) continue;
      tree_.section_of[t] = section_before(static_cast<std::int32_t>(last), wave_.from[index(last)],
                                           level_above(way) - 1);
    }
  }

  /// Section of a level on the way back from a, at or above that level, by b.
  std::int32_t section_before(std::int32_t a, std::int32_t b, std::int32_t level) {
    while (level >= 0 && b >= 0) {
      const std::int32_t at = crossing(a, b, level);
      if (at >= 0) return section_at(at);
      if (wave_.way[b] < way_of(level)) return -1;
      a = b;
      b = wave_.from[b];
    }
    return -1;
  }

  /// Sections in rising order of level, so that parents stand before children.
  ChannelTree sorted() {
    std::vector<std::int32_t> order(tree_.sections.size()), place(order.size());
    std::iota(order.begin(), order.end(), 0);
    std::sort(order.begin(), order.end(), [&](std::int32_t a, std::int32_t b) {
      const ChannelSection &l = tree_.sections[a], &r = tree_.sections[b];
      return l.level != r.level ? l.level < r.level : crossed_[a] < crossed_[b];
    });
    ChannelTree tree;
    tree.step = step_;
    for (std::size_t i = 0; i < order.size(); ++i) place[order[i]] = static_cast<std::int32_t>(i);
    for (const std::int32_t s : order) {
      tree.sections.push_back(tree_.sections[s]);
      std::int32_t& parent = tree.sections.back().parent;
      if (parent >= 0) parent = place[parent];
    }
    for (const std::int32_t s : tree_.section_of) tree.section_of.push_back(s < 0 ? -1 : place[s]);
    tree.pieces = std::move(tree_.pieces);
    for (SectionPiece& piece : tree.pieces) piece.section = place[piece.section];
    return tree;
  }

  const Model& model_;
  std::span<const std::uint8_t> inside_;
  const Wave& wave_;
  double step_;
  std::vector<Edge> edges_;
  std::unordered_map<std::uint64_t, std::size_t> edge_of_;
  std::int32_t n_crossings_ = 0;
  std::vector<std::int32_t> owner_, section_;         // (n_crossings)
  std::vector<std::array<std::int32_t, 2>> crossed_;  // an edge of each section
  ChannelTree tree_;
};

}  // namespace

ChannelTree channel_tree(const Model& model, std::span<const std::uint8_t> inside, const Wave& wave,
                         double step) {
  return TreeBuilder(model, inside, wave, step).run();
}

ChannelTree runner_tree(const Model& model) {
  const TriMesh& mesh = model.mesh;
  const std::size_t n = mesh.triangles.size();
  std::vector<std::uint8_t> inside(n, 0);
  double length = 0.0, count = 0.0;
  for (std::size_t t = 0; t < n; ++t) {
    const TriId id = make_id<TriId>(t);
    if (model.regions[mesh.region[id]].role != Role::runner) continue;
    inside[t] = 1;
    for (std::size_t c = 0; c < 3; ++c)
      length += distance(mesh.points[mesh.triangles[id][c]],
                         mesh.points[mesh.triangles[id][(c + 1) % 3]]);
    count += 3.0;
  }
  if (!(count > 0.0)) return {};
  // Without a sprue of its own the melt enters at the injection; else at the sprue's foot.
  NodeId foot = model.injection;
  for (const LineElement& line : model.lines.span())
    if (model.channels[line.channel].role == Role::sprue) foot = line.to;
  std::vector<VertexId> start;
  for (std::size_t v = 0; v < mesh.points.size(); ++v)
    if (model.node_of_vertex[make_id<VertexId>(v)] == foot) start.push_back(make_id<VertexId>(v));
  const Wave wave = run_wave(mesh, inside, start);
  return channel_tree(model, inside, wave, length / count / levels_per_edge);
}

}  // namespace firstshot
