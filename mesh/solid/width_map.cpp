#include "mesh/solid/width_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace firstshot {
namespace {

/// Walls face each other when the ways to the nearest points on them are more than 120° apart: the
/// bisector of a right angle is no ridge, a wedge of less than 60° is.
constexpr double facing_cosine = -0.5;
/// Nothing is told of the grid's own steps below this distance, in cells.
constexpr double least_distance = 2.0;

/// For each place k of a line the place q that makes (k - q)² + cost(q) least; -1 where none has a
/// finite cost. Lower envelope of parabolas.
class Envelope {
 public:
  template <class Cost, class Use>
  void run(int n, const Cost& cost, const Use& use) {
    places_.clear();
    from_.clear();
    for (int q = 0; q < n; ++q) {
      const double c = cost(q);
      if (!(c < 1e300)) continue;
      double start = -1e300;
      while (!places_.empty()) {
        const int p = places_.back();
        start = (c + static_cast<double>(q) * q - cost(p) - static_cast<double>(p) * p) /
                (2.0 * (q - p));
        if (start > from_.back()) break;
        places_.pop_back();
        from_.pop_back();
        start = -1e300;
      }
      places_.push_back(q);
      from_.push_back(start);
    }
    std::size_t k = 0;
    for (int p = 0; p < n; ++p) {
      while (k + 1 < places_.size() && from_[k + 1] < p) ++k;
      use(p, places_.empty() ? -1 : places_[k]);
    }
  }

 private:
  std::vector<int> places_;
  std::vector<double> from_;
};

/// Whether the distance does not rise on either side along `across`. Beside a slanting rim, where
/// the nearest points jump from step to step of the grid, it does.
bool falls_beside(const PlanGrid& grid, const WidthMap& map, int i, int j, Point across) {
  constexpr double look = 2.0, rounding = 0.25;  // cells
  for (const double side : {-look, look}) {
    const int ni = i + static_cast<int>(std::lround(side * across.x));
    const int nj = j + static_cast<int>(std::lround(side * across.y));
    if (ni < 0 || nj < 0 || ni >= grid.nx || nj >= grid.ny) continue;
    if (map.distance[grid.index(ni, nj)] >
        map.distance[grid.index(i, j)] + static_cast<float>(rounding * grid.cell))
      return false;
  }
  return true;
}

}  // namespace

WidthMap width_map(const PlanGrid& grid, const std::vector<std::uint8_t>& inside) {
  WidthMap map;
  map.distance.assign(grid.size(), 0.0F);
  map.nearest.assign(grid.size(), -1);
  // Along rows first: the column of the nearest point beside the shadow in the same row.
  Envelope envelope;
  constexpr double none = std::numeric_limits<double>::max();
  for (int j = 0; j < grid.ny; ++j)
    envelope.run(
        grid.nx, [&](int i) { return inside[grid.index(i, j)] != 0 ? none : 0.0; },
        [&](int i, int q) { map.nearest[grid.index(i, j)] = q; });
  std::vector<std::int32_t> column(static_cast<std::size_t>(grid.ny));
  for (int i = 0; i < grid.nx; ++i) {
    for (int j = 0; j < grid.ny; ++j) column[j] = map.nearest[grid.index(i, j)];
    const auto squared = [&](int j) {
      const double d = static_cast<double>(column[j]) - i;
      return column[j] < 0 ? none : d * d;
    };
    envelope.run(grid.ny, squared, [&](int j, int q) {
      const std::size_t k = grid.index(i, j);
      map.nearest[k] = static_cast<std::int32_t>(grid.index(column[q], q));
      const double d = std::sqrt(squared(q) + static_cast<double>(j - q) * (j - q));
      map.distance[k] =
          inside[k] != 0 ? static_cast<float>(std::max(d - 0.5, 0.25) * grid.cell) : 0.0F;
    });
  }
  return map;
}

std::vector<RidgePoint> ridge(const PlanGrid& grid, const WidthMap& map) {
  std::vector<RidgePoint> points;
  const auto place = [&](std::int32_t k) { return grid.at(k % grid.nx, k / grid.nx); };
  for (int j = 1; j + 1 < grid.ny; ++j)
    for (int i = 1; i + 1 < grid.nx; ++i) {
      const std::size_t k = grid.index(i, j);
      if (map.distance[k] < static_cast<float>((least_distance - 0.5) * grid.cell)) continue;
      const Point foot = place(map.nearest[k]);
      double widest = 0.0;
      Point other;
      for (const std::size_t n : {grid.index(i + 1, j), grid.index(i, j + 1),
                                  grid.index(i + 1, j + 1), grid.index(i - 1, j + 1)}) {
        if (!(map.distance[n] > 0.0F)) continue;
        const double apart = distance(foot, place(map.nearest[n]));
        if (apart <= widest) continue;
        widest = apart;
        other = place(map.nearest[n]);
      }
      const Point u = foot - grid.at(i, j), v = other - grid.at(i, j);
      if (!(widest > 0.0) || dot(u, v) > facing_cosine * norm(u) * norm(v)) continue;
      const Point across = (1.0 / widest) * (other - foot);
      if (!falls_beside(grid, map, i, j, across)) continue;
      points.push_back({static_cast<std::int32_t>(k), grid.at(i, j),
                        std::max(widest - grid.cell, grid.cell), (1.0 / widest) * (other - foot)});
    }
  return points;
}

}  // namespace firstshot
