#include "mesh/solid/solid_borders.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <unordered_set>

#include "mesh/outline.hpp"

namespace firstshot {
namespace {

/// Edges are not made shorter than this share of the wanted size for the outline's or a tip's sake.
constexpr double smallest_share = 0.08;
/// A short side beside long ones asks for no fine mesh beyond this share of its longer neighbour.
constexpr double beside_share = 0.5;

/// One ridge point per square of half the wanted size is enough.
class Thinning {
 public:
  bool is_first(Point p, double size) {
    const int level = static_cast<int>(std::floor(std::log2(0.5 * size)));
    const double square = std::exp2(level);
    const auto i = static_cast<std::int64_t>(std::floor(p.x / square));
    const auto j = static_cast<std::int64_t>(std::floor(p.y / square));
    std::uint64_t key = static_cast<std::uint64_t>(level) + 64;
    for (const std::int64_t x : {i, j})
      key = key * 0x9E3779B97F4A7C15ULL + static_cast<std::uint64_t>(x) * 0xD1B54A32D192ED03ULL;
    return seen_.insert(key).second;
  }

 private:
  std::unordered_set<std::uint64_t> seen_;
};

}  // namespace

Borders solid_borders(const std::vector<PlanLoop>& loops) {
  Borders borders;
  for (const PlanLoop& loop : loops) {
    BorderLoop border;
    const bool is_outline = signed_area(loop) > 0.0;
    border.kind = is_outline ? BorderKind::outline : BorderKind::hole;
    border.area = 0;
    for (const Point p : loop) {
      border.side.push_back(static_cast<int>(border.points.size()));
      border.points.push_back(static_cast<int>(borders.points.size()));
      borders.points.push_back(p);
    }
    if (!is_outline) std::reverse(border.points.begin(), border.points.end());
    borders.loops.push_back(std::move(border));
  }
  return borders;
}

void add_cut(std::vector<PlanLoop>& loops, const std::array<Point, 2>& cut, double snap,
             std::vector<std::array<Point, 2>>& cuts) {
  std::array<Point, 2> ends;
  for (std::size_t e = 0; e < 2; ++e) {
    double nearest = 1e300;
    PlanLoop* loop = nullptr;
    std::size_t side = 0;
    for (PlanLoop& candidate : loops)
      for (std::size_t i = 0; i < candidate.size(); ++i) {
        const Foot foot = foot_on(candidate[i], candidate[(i + 1) % candidate.size()], cut[e]);
        if (foot.distance >= nearest) continue;
        nearest = foot.distance;
        loop = &candidate;
        side = i;
        ends[e] = foot.at;
      }
    const Point a = (*loop)[side], b = (*loop)[(side + 1) % loop->size()];
    const Point corner = distance(a, ends[e]) < distance(b, ends[e]) ? a : b;
    if (distance(corner, ends[e]) <= snap) {
      ends[e] = corner;
    } else {
      loop->insert(loop->begin() + static_cast<std::ptrdiff_t>(side) + 1, ends[e]);
    }
  }
  if (!(ends[0] == ends[1])) cuts.push_back(ends);
}

void add_cuts(Borders& borders, std::span<const std::array<Point, 2>> cuts) {
  for (const auto& cut : cuts) {
    BorderLoop loop;
    loop.kind = BorderKind::step;
    loop.area = 0;
    for (const Point p : cut) {
      const auto at = std::find(borders.points.begin(), borders.points.end(), p);
      loop.points.push_back(static_cast<int>(at - borders.points.begin()));
      loop.side.push_back(static_cast<int>(loop.side.size()));
    }
    borders.loops.push_back(std::move(loop));
  }
}

std::vector<SizeFeature> solid_features(const Borders& borders, std::span<const RidgePoint> ridge,
                                        const ElementsAcross& across, double element_size) {
  std::vector<SizeFeature> features;
  const double least = smallest_share * element_size;
  Thinning thinning;
  for (const RidgePoint& r : ridge) {
    const double size = std::max(r.width / across(r), least);
    if (size >= element_size || !thinning.is_first(r.at, size)) continue;
    const Point half = (0.5 * r.width) * r.across;
    features.push_back({r.at - half, r.at + half, size});
  }
  for (const BorderLoop& loop : borders.loops) {
    if (loop.kind == BorderKind::step) continue;
    const std::size_t n = loop.points.size();
    const auto point = [&](std::size_t i) { return borders.points[loop.points[i % n]]; };
    for (std::size_t i = 0; i < n; ++i) {
      const double beside =
          std::max(distance(point(i + n - 1), point(i)), distance(point(i + 1), point(i + 2)));
      const double size =
          std::max({distance(point(i), point(i + 1)), beside_share * beside, least});
      if (size < element_size) features.push_back({point(i), point(i + 1), size});
    }
  }
  return features;
}

}  // namespace firstshot
