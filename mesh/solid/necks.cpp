#include "mesh/solid/necks.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace firstshot {
namespace {

/// A neck is at most this share of both sides.
constexpr double neck_share = 0.5;
/// Meetings of the same two pieces within so many cells are the same neck.
constexpr double beside = 4.0;
constexpr double least_half_width = 0.8;  ///< of a neck, in cells

class Flood {
 public:
  explicit Flood(const ColumnGrid& columns)
      : columns_(columns), owner_(columns.grid.size(), -1), measure_(columns.grid.size(), 0.0F) {}

  Necks run() {
    std::vector<std::int32_t> order;
    for (std::size_t k = 0; k < owner_.size(); ++k) {
      if (!columns_.holds(k)) continue;
      measure_[k] = columns_.distance[k] * static_cast<float>(columns_.chord(k));
      order.push_back(static_cast<std::int32_t>(k));
    }
    std::sort(order.begin(), order.end(), [&](std::int32_t a, std::int32_t b) {
      return measure_[a] != measure_[b] ? measure_[a] > measure_[b] : a < b;
    });
    for (const std::int32_t k : order) add(static_cast<std::size_t>(k));
    return finished();
  }

 private:
  std::int32_t root(std::int32_t p) {
    while (parent_[p] != p) p = parent_[p] = parent_[parent_[p]];
    return p;
  }

  void add(std::size_t k) {
    const auto nx = static_cast<std::ptrdiff_t>(columns_.grid.nx);
    const auto at = static_cast<std::ptrdiff_t>(k);
    std::int32_t own = -1;
    for (const std::ptrdiff_t step :
         {std::ptrdiff_t{1}, std::ptrdiff_t{-1}, nx, -nx, nx + 1, nx - 1, 1 - nx, -nx - 1}) {
      const std::int32_t neighbour = owner_[static_cast<std::size_t>(at + step)];
      if (neighbour < 0) continue;
      const std::int32_t other = root(neighbour);
      if (own < 0) own = other;
      if (own == other) continue;
      const std::int32_t low = peak_[own] < peak_[other] ? own : other,
                         high = low == own ? other : own;
      if (measure_[k] < neck_share * peak_[low]) {
        meetings_.push_back({low, high, k});
        own = high;
        continue;
      }
      parent_[low] = high;
      own = high;
    }
    if (own < 0) {
      own = static_cast<std::int32_t>(parent_.size());
      parent_.push_back(own);
      peak_.push_back(measure_[k]);
    }
    owner_[k] = own;
  }

  Point place(std::size_t k) const {
    const auto nx = static_cast<std::size_t>(columns_.grid.nx);
    return columns_.grid.at(static_cast<int>(k % nx), static_cast<int>(k / nx));
  }

  Necks finished() {
    Necks result;
    std::vector<std::int32_t> number(parent_.size(), -1);
    result.piece.assign(owner_.size(), -1);
    for (std::size_t k = 0; k < owner_.size(); ++k) {
      if (owner_[k] < 0) continue;
      std::int32_t& n = number[root(owner_[k])];
      if (n < 0) n = result.n_pieces++;
      result.piece[k] = n;
    }
    // Meetings come in falling order of the measure: the first at a place is the neck, the others
    // lie beside it on the same line.
    std::vector<std::vector<Point>> line;
    for (const Meeting& m : meetings_) {
      // Contact by single points of the grid along a rim is none.
      if (columns_.distance[m.cell] < static_cast<float>(least_half_width * columns_.grid.cell))
        continue;
      const std::int32_t a = number[root(m.a)], b = number[root(m.b)];
      if (a == b) continue;
      const Neck neck = {std::min(a, b), std::max(a, b), place(m.cell), measure_[m.cell]};
      std::size_t known = 0;
      for (; known < line.size(); ++known) {
        const Neck& n = result.necks[known];
        if (n.a == neck.a && n.b == neck.b &&
            std::any_of(line[known].begin(), line[known].end(), [&](Point p) {
              return distance(p, neck.at) <= beside * columns_.grid.cell;
            }))
          break;
      }
      if (known == line.size()) {
        result.necks.push_back(neck);
        line.emplace_back();
      }
      line[known].push_back(neck.at);
    }
    return result;
  }

  struct Meeting {
    std::int32_t a, b;
    std::size_t cell;
  };
  const ColumnGrid& columns_;
  std::vector<std::int32_t> owner_;
  std::vector<float> measure_;
  std::vector<std::int32_t> parent_;
  std::vector<float> peak_;
  std::vector<Meeting> meetings_;
};

}  // namespace

std::int32_t Necks::at(const PlanGrid& grid, Point p) const {
  const int ci = static_cast<int>(std::lround((p.x - grid.low.x) / grid.cell));
  const int cj = static_cast<int>(std::lround((p.y - grid.low.y) / grid.cell));
  constexpr int reach = 3;
  std::int32_t found = -1;
  double nearest = 1e300;
  for (int j = std::max(0, cj - reach); j <= std::min(grid.ny - 1, cj + reach); ++j)
    for (int i = std::max(0, ci - reach); i <= std::min(grid.nx - 1, ci + reach); ++i) {
      const double away = distance(grid.at(i, j), p);
      if (piece[grid.index(i, j)] < 0 || away >= nearest) continue;
      nearest = away;
      found = piece[grid.index(i, j)];
    }
  return found;
}

Necks find_necks(const ColumnGrid& columns) { return Flood(columns).run(); }

}  // namespace firstshot
