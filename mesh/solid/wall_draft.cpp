#include "mesh/solid/wall_draft.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double degrees = 180.0 / std::numbers::pi;
/// Share of a part's side walls that may be steeper than its least draft.
constexpr double steeper_share = 0.01;
/// This far off a wall tells what it looks at [m].
constexpr double off_wall = 10e-6;
constexpr std::int32_t beside = -1, shared = -2;

struct Facet {
  Point3 at;           ///< middle
  Point out;           ///< unit vector in the plane, away from the melt
  double area = 0.0;   ///< [m²]
  double draft = 0.0;  ///< [deg]
  bool is_core = false;
};

/// Pieces of a wall are at most this long seen along the draw [m]: what one looks at is judged by
/// its middle.
constexpr double longest_piece = 0.5e-3;

using Corners = std::array<Point3, 3>;

Corners corners_of(const Shell& shell, const std::array<std::int32_t, 3>& t) {
  const auto at = [&](std::size_t k) { return shell.points[static_cast<std::size_t>(t[k])]; };
  return {at(0), at(1), at(2)};
}

std::optional<Facet> side_wall(const Corners& t) {
  const auto& [a, b, c] = t;
  const Point3 u{b.x - a.x, b.y - a.y, b.z - a.z}, v{c.x - a.x, c.y - a.y, c.z - a.z};
  const Point3 n{u.y * v.z - u.z * v.y, u.z * v.x - u.x * v.z, u.x * v.y - u.y * v.x};
  const double flat = std::hypot(n.x, n.y);
  const double draft = std::atan2(std::abs(n.z), flat) * degrees;
  if (!(flat > 0.0) || !(draft < static_cast<double>(steepest_draft))) return std::nullopt;
  return Facet{{(a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0, (a.z + b.z + c.z) / 3.0},
               {n.x / flat, n.y / flat},
               0.5 * std::hypot(flat, n.z),
               draft};
}

/// Calls visit(corners) for pieces of the triangle, halved across its longest side in the plane.
template <class Visit>
void in_pieces(const Corners& t, const Visit& visit) {
  const auto length = [&](std::size_t k) {
    const Point3 &a = t[k], &b = t[(k + 1) % 3];
    return std::hypot(b.x - a.x, b.y - a.y);
  };
  std::size_t k = 0;
  for (std::size_t other : {1U, 2U})
    if (length(other) > length(k)) k = other;
  if (!(length(k) > longest_piece)) {
    visit(t);
    return;
  }
  const Point3 &a = t[k], &b = t[(k + 1) % 3], &c = t[(k + 2) % 3];
  const Point3 m{0.5 * (a.x + b.x), 0.5 * (a.y + b.y), 0.5 * (a.z + b.z)};
  in_pieces(Corners{a, m, c}, visit);
  in_pieces(Corners{m, b, c}, visit);
}

/// What lies beside the shadow: each stretch of steel through the whole mould, and the one region
/// that surrounds it.
class Openings {
 public:
  Openings(const ColumnGrid& columns, const RegionAt& region_at)
      : columns_(columns), stretch_(columns.grid.size(), beside) {
    for (std::size_t k = 0; k < stretch_.size(); ++k)
      if (!columns.holds(k) && stretch_[k] == beside) flood(k, region_at);
  }

  /// @return region that alone surrounds the steel at this point of the grid, else -1
  std::int32_t around(std::size_t k) const {
    const std::int32_t owner = owner_[static_cast<std::size_t>(stretch_[k])];
    return owner == shared ? beside : owner;
  }

 private:
  void flood(std::size_t first, const RegionAt& region_at) {
    const PlanGrid& g = columns_.grid;
    const auto number = static_cast<std::int32_t>(owner_.size());
    std::int32_t owner = beside;
    std::vector<std::size_t> next{first};
    stretch_[first] = number;
    while (!next.empty()) {
      const auto i = static_cast<int>(next.back() % static_cast<std::size_t>(g.nx));
      const auto j = static_cast<int>(next.back() / static_cast<std::size_t>(g.nx));
      next.pop_back();
      for (const auto& [di, dj] : {std::array{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
        const int x = i + di, y = j + dj;
        if (x < 0 || y < 0 || x >= g.nx || y >= g.ny) {
          owner = shared;
          continue;
        }
        const std::size_t k = g.index(x, y);
        if (columns_.holds(k)) {
          if (owner == shared) continue;
          const std::int32_t region = region_at(g.at(x, y));
          owner = owner == beside || owner == region ? region : shared;
        } else if (stretch_[k] == beside) {
          stretch_[k] = number;
          next.push_back(k);
        }
      }
    }
    owner_.push_back(owner);
  }

  const ColumnGrid& columns_;
  std::vector<std::int32_t> stretch_;  // (n_points) of the grid, -1 in the shadow
  std::vector<std::int32_t> owner_;    // of each stretch
};

/// Follows the steel in front of a wall at the wall's height.
bool looks_at_core(const Facet& facet, std::int32_t region, const ColumnGrid& columns,
                   const Openings& openings, const RegionAt& region_at) {
  const PlanGrid& g = columns.grid;
  const Point from{facet.at.x, facet.at.y};
  bool in_steel = false;
  for (double way = 0.5;; way += 0.5) {
    const Point p = from + (way * g.cell) * facet.out;
    const auto i = static_cast<int>(std::lround((p.x - g.low.x) / g.cell));
    const auto j = static_cast<int>(std::lround((p.y - g.low.y) / g.cell));
    if (i < 0 || j < 0 || i >= g.nx || j >= g.ny) return false;
    const std::size_t k = g.index(i, j);
    if (!columns.holds(k)) {
      // A hole is judged as a whole, the open side of a U by what lies across it.
      if (openings.around(k) == region) return true;
      in_steel = true;
      continue;
    }
    const bool melt = facet.at.z > columns.lower[k] && facet.at.z < columns.upper[k];
    if (melt && in_steel) return region_at(p) == region;
    constexpr double thin = 3.0;  // steps in which the wall's own melt may still be met
    if (melt && way > thin) return false;
    in_steel = in_steel || !melt;
  }
}

SideWalls summed(const std::string& part, std::vector<Facet>& facets) {
  SideWalls out;
  out.part = part;
  double all = 0.0;
  for (const Facet& f : facets) {
    const auto bin = std::min(static_cast<std::size_t>(f.draft), steepest_draft - 1);
    (f.is_core ? out.core : out.outer)[bin] += f.area;
    all += f.area;
  }
  std::stable_sort(facets.begin(), facets.end(),
                   [](const Facet& a, const Facet& b) { return a.draft < b.draft; });
  double so_far = 0.0, largest = 0.0;
  for (const Facet& f : facets) {
    so_far += f.area;
    out.least_draft = f.draft;
    if (f.area > largest) {
      largest = f.area;
      out.at = f.at;
    }
    if (so_far > steeper_share * all) break;
  }
  return out;
}

}  // namespace

std::vector<SideWalls> wall_drafts(const Shell& shell, const DrawLines& lines,
                                   const ColumnGrid& columns, const std::vector<Region>& regions,
                                   const RegionAt& region_at) {
  const Openings openings(columns, region_at);
  std::vector<std::vector<Facet>> of_region(regions.size());
  const auto look_at = [&](const Corners& piece) {
    std::optional<Facet> facet = side_wall(piece);
    if (!facet) return;
    const Point at{facet->at.x, facet->at.y};
    const DrawColumn front = lines.at(at + off_wall * facet->out);
    if (front.holds() && facet->at.z > front.lower && facet->at.z < front.upper) return;
    const std::int32_t region = region_at(at - (0.5 * columns.grid.cell) * facet->out);
    if (region < 0 || regions[static_cast<std::size_t>(region)].role != Role::part) return;
    facet->is_core = looks_at_core(*facet, region, columns, openings, region_at);
    of_region[static_cast<std::size_t>(region)].push_back(*facet);
  };
  for (const auto& triangle : shell.triangles) {
    const Corners corners = corners_of(shell, triangle);
    if (side_wall(corners)) in_pieces(corners, look_at);
  }
  std::vector<SideWalls> out;
  for (std::size_t r = 0; r < regions.size(); ++r)
    if (!of_region[r].empty()) out.push_back(summed(regions[r].name, of_region[r]));
  return out;
}

}  // namespace firstshot
