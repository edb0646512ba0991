#include "mesh/solid/sprue.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

/// Height over thickness from which something standing is a sprue and no boss (common practice, no
/// source: sprues are several times as long as thick).
constexpr double least_slimness = 1.5;
constexpr double middle_share = 0.6;
constexpr double alike_height = 0.95;
/// The stump is sought from this share of the height over the frame.
constexpr double stump_share = 0.3;
constexpr double most_area_share = 0.25;

struct Stump {
  std::vector<std::size_t> cells;
  double top = 0.0, area = 0.0, away = 0.0;
  Point centre;
};

double percentile(std::vector<float> values, double share) {
  const auto k = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(k), values.end());
  return values[k];
}

/// Works on heights measured upwards or downwards.
class Finder {
 public:
  Finder(const ColumnGrid& columns, bool upward) : columns_(columns), upward_(upward) {
    for (std::size_t k = 0; k < columns.grid.size(); ++k) {
      if (!columns.holds(k)) continue;
      heights_.push_back(height(k));
      box_.add(place(k));
    }
  }

  std::optional<StandingSprue> run() {
    if (heights_.empty()) return std::nullopt;
    const double level = percentile(heights_, 0.5);
    const double highest = *std::max_element(heights_.begin(), heights_.end());
    const std::optional<Stump> stump = best_stump(level, highest);
    if (!stump) return std::nullopt;
    return measured(*stump, level);
  }

 private:
  float height(std::size_t k) const { return upward_ ? columns_.upper[k] : -columns_.lower[k]; }
  Point place(std::size_t k) const {
    const auto nx = static_cast<std::size_t>(columns_.grid.nx);
    return columns_.grid.at(static_cast<int>(k % nx), static_cast<int>(k / nx));
  }
  double cell_area() const { return columns_.grid.cell * columns_.grid.cell; }

  /// Pieces above a level that hang together, and the best of them that is slim and near the
  /// middle.
  std::optional<Stump> best_stump(double level, double highest) {
    std::vector<std::uint8_t> seen(columns_.grid.size(), 0);
    std::optional<Stump> best;
    const double over = level + stump_share * (highest - level);
    const Point middle = between(box_.low, box_.high, 0.5);
    const double melt = static_cast<double>(heights_.size()) * cell_area();
    for (std::size_t seed = 0; seed < seen.size(); ++seed) {
      if (seen[seed] != 0 || !columns_.holds(seed) || height(seed) <= over) continue;
      const Stump stump = grown(seed, over, seen);
      const double thick = 2.0 * std::sqrt(stump.area / std::numbers::pi);
      if (stump.top - level < least_slimness * thick || stump.area > most_area_share * melt)
        continue;
      if (std::abs(stump.centre.x - middle.x) > 0.5 * middle_share * (box_.high.x - box_.low.x) ||
          std::abs(stump.centre.y - middle.y) > 0.5 * middle_share * (box_.high.y - box_.low.y))
        continue;
      Stump candidate = stump;
      candidate.away = distance(stump.centre, middle);
      if (best) {
        const double a = candidate.top - level, b = best->top - level;
        const bool alike = std::min(a, b) >= alike_height * std::max(a, b);
        if (alike ? candidate.away >= best->away : a <= b) continue;
      }
      best = std::move(candidate);
    }
    return best;
  }

  Stump grown(std::size_t seed, double over, std::vector<std::uint8_t>& seen) const {
    Stump stump;
    stump.cells = {seed};
    seen[seed] = 1;
    const auto nx = static_cast<std::size_t>(columns_.grid.nx);
    for (std::size_t i = 0; i < stump.cells.size(); ++i) {
      const std::size_t k = stump.cells[i];
      stump.top = i == 0 ? height(k) : std::max<double>(stump.top, height(k));
      stump.centre = stump.centre + place(k);
      // The shadow never reaches the outermost points, so all four neighbours are there.
      for (const std::size_t n : {k + 1, k - 1, k + nx, k - nx}) {
        if (seen[n] != 0 || !columns_.holds(n) || height(n) <= over) continue;
        seen[n] = 1;
        stump.cells.push_back(n);
      }
    }
    const auto n = static_cast<double>(stump.cells.size());
    stump.centre = (1.0 / n) * stump.centre;
    stump.area = n * cell_area();
    return stump;
  }

  StandingSprue measured(const Stump& stump, double level) const {
    // Straight line through the diameters of equal area of sections from 35 % to 85 % of the
    // height.
    constexpr std::array<double, 6> shares = {0.35, 0.45, 0.55, 0.65, 0.75, 0.85};
    double sz = 0.0, sd = 0.0, szz = 0.0, szd = 0.0;
    for (const double share : shares) {
      const double z = level + share * (stump.top - level);
      const auto above = std::count_if(stump.cells.begin(), stump.cells.end(),
                                       [&](std::size_t k) { return height(k) > z; });
      const double d = 2.0 * std::sqrt(static_cast<double>(above) * cell_area() / std::numbers::pi);
      sz += z, sd += d, szz += z * z, szd += z * d;
    }
    const double n = shares.size();
    const double slope = (n * szd - sz * sd) / (n * szz - sz * sz);
    const auto diameter = [&](double z) {
      return std::max((sd - slope * sz) / n + slope * z, columns_.grid.cell);
    };
    // The foot stands on what is around it: the upper tenth of the heights in a ring.
    double foot = level;
    for (int pass = 0; pass < 3; ++pass) {
      const double inner = 0.5 * diameter(foot) + 1.5 * columns_.grid.cell;
      std::vector<float> ring;
      const int reach = static_cast<int>(inner / columns_.grid.cell) + 5;
      const int ci = static_cast<int>(
          std::lround((stump.centre.x - columns_.grid.low.x) / columns_.grid.cell));
      const int cj = static_cast<int>(
          std::lround((stump.centre.y - columns_.grid.low.y) / columns_.grid.cell));
      for (int j = std::max(0, cj - reach); j <= std::min(columns_.grid.ny - 1, cj + reach); ++j)
        for (int i = std::max(0, ci - reach); i <= std::min(columns_.grid.nx - 1, ci + reach);
             ++i) {
          const std::size_t k = columns_.grid.index(i, j);
          const double away = distance(place(k), stump.centre);
          if (columns_.holds(k) && away > inner && away < inner + 3.0 * columns_.grid.cell)
            ring.push_back(height(k));
        }
      if (ring.empty()) break;
      foot = std::min(percentile(ring, 0.9), stump.top - columns_.grid.cell);
    }
    StandingSprue sprue;
    sprue.size = {stump.centre, stump.top - foot, diameter(stump.top), diameter(foot)};
    sprue.foot = upward_ ? foot : -foot;
    sprue.upward = upward_;
    return sprue;
  }

  const ColumnGrid& columns_;
  bool upward_;
  std::vector<float> heights_;
  Box box_;
};

}  // namespace

std::optional<StandingSprue> find_sprue(const ColumnGrid& columns) {
  const auto up = Finder(columns, true).run(), down = Finder(columns, false).run();
  if (up && down) return up->size.length >= down->size.length ? up : down;
  return up ? up : down;
}

DrawColumn without_sprue(DrawColumn column, const StandingSprue& sprue, Point p) {
  // A little beyond the foot, for what the cone's fit leaves.
  constexpr double margin = 0.55;
  if (!column.holds() || distance(p, sprue.size.at) > margin * sprue.size.foot_diameter)
    return column;
  if (sprue.upward) {
    column.upper = std::clamp(column.upper, std::min(column.lower, sprue.foot), sprue.foot);
    column.lower = std::min(column.lower, column.upper);
  } else {
    column.lower = std::clamp(column.lower, sprue.foot, std::max(column.upper, sprue.foot));
    column.upper = std::max(column.lower, column.upper);
  }
  return column;
}

}  // namespace firstshot
