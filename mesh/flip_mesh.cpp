#include "mesh/flip_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>
#include <optional>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Cotangents that differ from 0 by rounding only do not count as negative.
constexpr double rounding = 1e-10;

std::size_t next(std::size_t k) { return (k + 1) % 3; }
std::size_t previous(std::size_t k) { return (k + 2) % 3; }

/// Cotangent of the angle at p in the triangle p, q, r; hugely negative when it is turned over.
double cotangent(Point p, Point q, Point r) {
  const double twice_area = cross(q - p, r - p);
  if (!(twice_area > 0.0)) return -std::numeric_limits<double>::max();
  return dot(q - p, r - p) / twice_area;
}

class Smoother {
 public:
  explicit Smoother(const FlipMesh& mesh) : mesh_(mesh), original_(mesh.points) {
    free_.assign(mesh_.points.size(), true);
    touching_.assign(mesh_.points.size(), -1);
    for (std::size_t t = 0; t < mesh_.corners.size(); ++t) {
      for (std::size_t k = 0; k < 3; ++k) {
        touching_[mesh_.corners[t][k]] = static_cast<int>(t);
        if (!mesh_.fixed[t][k] && mesh_.neighbour[t][k] >= 0) continue;
        free_[mesh_.corners[t][next(k)]] = false;
        free_[mesh_.corners[t][previous(k)]] = false;
      }
    }
  }

  std::optional<FlipMesh> run(int sweeps) {
    for (int sweep = 0; sweep < sweeps; ++sweep) {
      for (std::size_t v = 0; v < mesh_.points.size(); ++v) {
        if (free_[v]) improve(static_cast<int>(v));
      }
      flip_all();
    }
    // A flip can bring a moved vertex opposite to a fixed side; such vertices go back.
    constexpr int most_repairs = 20;
    for (int repair = 0; repair < most_repairs; ++repair) {
      if (take_back_obtuse()) return mesh_;
      flip_all();
    }
    return std::nullopt;
  }

 private:
  /// Triangles around a free vertex with the position of the vertex in each.
  void collect_star(int v) {
    star_.clear();
    int t = touching_[v];
    do {
      const std::size_t k = position(t, v);
      star_.emplace_back(t, k);
      t = mesh_.neighbour[t][next(k)];
    } while (t != touching_[v]);
  }

  std::size_t position(int t, int v) const {
    const auto& c = mesh_.corners[t];
    return c[0] == v ? 0 : (c[1] == v ? 1 : 2);
  }

  /// Largest cotangent (smallest angle) around the collected star with its centre at p; infinite
  /// when a triangle is turned over or a fixed side gets an obtuse opposite angle.
  double worst_cotangent(Point p) const {
    double worst = -1.0;
    for (const auto& [t, k] : star_) {
      const Point q = mesh_.points[mesh_.corners[t][next(k)]];
      const Point r = mesh_.points[mesh_.corners[t][previous(k)]];
      const double at_p = cotangent(p, q, r);
      if (at_p < (mesh_.fixed[t][k] ? 0.0 : -1e100)) return std::numeric_limits<double>::max();
      worst = std::max({worst, at_p, cotangent(q, r, p), cotangent(r, p, q)});
    }
    return worst;
  }

  void improve(int v) {
    collect_star(v);
    Point sum;
    for (const auto& [t, k] : star_) sum = sum + mesh_.points[mesh_.corners[t][next(k)]];
    const Point target = (1.0 / static_cast<double>(star_.size())) * sum;
    if (worst_cotangent(target) < worst_cotangent(mesh_.points[v])) mesh_.points[v] = target;
  }

  /// Flips the side of t opposite to its corner k when the triangulation is not Delaunay there.
  bool flip(int t, std::size_t k) {
    const int u = mesh_.neighbour[t][k];
    if (u < 0 || mesh_.fixed[t][k]) return false;
    auto& tc = mesh_.corners[t];
    auto& uc = mesh_.corners[u];
    std::size_t j = 0;
    while (mesh_.neighbour[u][j] != t) ++j;
    const int a = tc[k];
    const int b = tc[next(k)];
    const int c = tc[previous(k)];
    const int d = uc[j];
    const auto& points = mesh_.points;
    const double weight =
        cotangent(points[a], points[b], points[c]) + cotangent(points[d], points[c], points[b]);
    if (weight >= -rounding) return false;
    if (!(cross(points[b] - points[a], points[d] - points[a]) > 0.0) ||
        !(cross(points[d] - points[a], points[c] - points[a]) > 0.0)) {
      return false;
    }
    const int ab = mesh_.neighbour[t][previous(k)];
    const int ca = mesh_.neighbour[t][next(k)];
    const int bd = mesh_.neighbour[u][next(j)];
    const int dc = mesh_.neighbour[u][previous(j)];
    const bool ab_fixed = mesh_.fixed[t][previous(k)];
    const bool ca_fixed = mesh_.fixed[t][next(k)];
    const bool bd_fixed = mesh_.fixed[u][next(j)];
    const bool dc_fixed = mesh_.fixed[u][previous(j)];
    tc = {a, b, d};
    mesh_.neighbour[t] = {bd, u, ab};
    mesh_.fixed[t] = {bd_fixed, false, ab_fixed};
    uc = {a, d, c};
    mesh_.neighbour[u] = {dc, ca, t};
    mesh_.fixed[u] = {dc_fixed, ca_fixed, false};
    if (bd >= 0) replace_neighbour(bd, u, t);
    if (ca >= 0) replace_neighbour(ca, t, u);
    touching_[a] = touching_[b] = touching_[d] = t;
    touching_[c] = u;
    pending_.push_back(u);
    return true;
  }

  void replace_neighbour(int t, int from, int to) {
    for (int& n : mesh_.neighbour[t]) {
      if (n == from) {
        n = to;
        return;
      }
    }
  }

  void flip_all() {
    for (std::size_t i = mesh_.corners.size(); i-- > 0;) pending_.push_back(static_cast<int>(i));
    while (!pending_.empty()) {
      const int t = pending_.back();
      pending_.pop_back();
      if (flip(t, 0) || flip(t, 1) || flip(t, 2)) pending_.push_back(t);
    }
  }

  /// Moves vertices with an obtuse angle opposite to a fixed side back to where they were. True
  /// when there are none; gives up on those that cannot go back.
  bool take_back_obtuse() {
    bool clean = true;
    for (std::size_t t = 0; t < mesh_.corners.size(); ++t) {
      for (std::size_t k = 0; k < 3; ++k) {
        const auto& c = mesh_.corners[t];
        const double weight =
            cotangent(mesh_.points[c[k]], mesh_.points[c[next(k)]], mesh_.points[c[previous(k)]]);
        if (weight < -1e100) return clean = false;
        if (!mesh_.fixed[t][k] || weight >= -rounding) continue;
        clean = false;
        const int v = c[k];
        if (!free_[v]) continue;
        collect_star(v);
        const auto turned_over = [&](const auto& entry) {
          const auto& s = mesh_.corners[entry.first];
          return cotangent(original_[v], mesh_.points[s[next(entry.second)]],
                           mesh_.points[s[previous(entry.second)]]) < -1e100;
        };
        if (std::none_of(star_.begin(), star_.end(), turned_over)) mesh_.points[v] = original_[v];
      }
    }
    return clean;
  }

  FlipMesh mesh_;
  std::vector<Point> original_;
  std::vector<bool> free_;
  std::vector<int> touching_;  ///< a triangle at each vertex
  std::vector<std::pair<int, std::size_t>> star_;
  std::vector<int> pending_;
};

/// Place along a Hilbert curve through a square of 2^16 × 2^16 cells.
std::uint32_t hilbert_place(std::uint32_t x, std::uint32_t y) {
  std::uint32_t place = 0;
  for (std::uint32_t s = 1U << 15; s > 0; s /= 2) {
    const std::uint32_t right = (x & s) != 0 ? 1 : 0;
    const std::uint32_t upper = (y & s) != 0 ? 1 : 0;
    place += s * s * ((3 * right) ^ upper);
    if (upper == 0) {
      if (right == 1) {
        x = 0xffffU - x;
        y = 0xffffU - y;
      }
      std::swap(x, y);
    }
  }
  return place;
}

std::vector<int> curve_order(const std::vector<Point>& points) {
  Box box;
  for (const Point p : points) box.add(p);
  const double side = std::max(box.high.x - box.low.x, box.high.y - box.low.y);
  const double scale = 65535.0 / side;
  std::vector<std::uint32_t> place(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    place[i] = hilbert_place(static_cast<std::uint32_t>((points[i].x - box.low.x) * scale),
                             static_cast<std::uint32_t>((points[i].y - box.low.y) * scale));
  }
  std::vector<int> order(points.size());
  std::iota(order.begin(), order.end(), 0);
  std::sort(order.begin(), order.end(), [&](int i, int j) {
    if (place[i] != place[j]) return place[i] < place[j];
    return points[i].x != points[j].x ? points[i].x < points[j].x : points[i].y < points[j].y;
  });
  return order;
}

}  // namespace

FlipMesh smoothed(const FlipMesh& mesh, int sweeps) {
  return Smoother(mesh).run(sweeps).value_or(mesh);
}

std::vector<int> connected_pieces(const FlipMesh& mesh) {
  std::vector<int> piece(mesh.corners.size(), -1);
  std::vector<int> pending;
  int n_pieces = 0;
  for (std::size_t seed = 0; seed < piece.size(); ++seed) {
    if (piece[seed] >= 0) continue;
    piece[seed] = n_pieces;
    pending.push_back(static_cast<int>(seed));
    while (!pending.empty()) {
      const int t = pending.back();
      pending.pop_back();
      for (std::size_t k = 0; k < 3; ++k) {
        const int u = mesh.neighbour[t][k];
        if (u < 0 || mesh.fixed[t][k] || piece[u] >= 0) continue;
        piece[u] = n_pieces;
        pending.push_back(u);
      }
    }
    ++n_pieces;
  }
  return piece;
}

FlipMesh ordered_along_curve(const FlipMesh& mesh) {
  FlipMesh result;
  const std::vector<int> order = curve_order(mesh.points);
  std::vector<int> number(order.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    number[order[i]] = static_cast<int>(i);
    result.points.push_back(mesh.points[order[i]]);
  }
  const std::size_t n = mesh.corners.size();
  // Each triangle starts with its smallest vertex: `first` is where that one stood.
  std::vector<std::array<int, 3>> corners(n);
  std::vector<std::size_t> first(n);
  for (std::size_t t = 0; t < n; ++t) {
    const auto& c = mesh.corners[t];
    const std::array<int, 3> renumbered = {number[c[0]], number[c[1]], number[c[2]]};
    first[t] = static_cast<std::size_t>(std::min_element(renumbered.begin(), renumbered.end()) -
                                        renumbered.begin());
    for (std::size_t k = 0; k < 3; ++k) corners[t][k] = renumbered[(first[t] + k) % 3];
  }
  std::vector<int> triangles(n);
  std::iota(triangles.begin(), triangles.end(), 0);
  std::sort(triangles.begin(), triangles.end(),
            [&](int s, int t) { return corners[s] < corners[t]; });
  std::vector<int> position(n);
  for (std::size_t i = 0; i < n; ++i) position[triangles[i]] = static_cast<int>(i);
  for (const int t : triangles) {
    std::array<int, 3> neighbour{};
    std::array<bool, 3> fixed{};
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t old = (first[t] + k) % 3;
      neighbour[k] = mesh.neighbour[t][old] < 0 ? -1 : position[mesh.neighbour[t][old]];
      fixed[k] = mesh.fixed[t][old];
    }
    result.corners.push_back(corners[t]);
    result.neighbour.push_back(neighbour);
    result.fixed.push_back(fixed);
  }
  return result;
}

}  // namespace firstshot
