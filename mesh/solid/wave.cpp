#include "mesh/solid/wave.hpp"

#include <cmath>
#include <limits>
#include <numeric>
#include <queue>
#include <utility>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double never = std::numeric_limits<double>::infinity();

/// Way at the origin of a plane wave that passes a after ta and b after tb; infinite when it does
/// not reach the origin from between them.
double plane_wave(Point a, double ta, Point b, double tb) {
  const double aa = dot(a, a), ab = dot(a, b), bb = dot(b, b);
  const double determinant = aa * bb - ab * ab;
  if (!(determinant > 0.0)) return never;
  // Q = (P Pᵀ)⁻¹ of the rows a, b; |∇|² = (d - t)ᵀ Q (d - t) = 1.
  const double q11 = bb / determinant, q12 = -ab / determinant, q22 = aa / determinant;
  const double sum = q11 + 2.0 * q12 + q22;
  const double mixed = (q11 + q12) * ta + (q12 + q22) * tb;
  const double rest = q11 * ta * ta + 2.0 * q12 * ta * tb + q22 * tb * tb - 1.0;
  const double root = mixed * mixed - sum * rest;
  if (!(root >= 0.0) || !(sum > 0.0)) return never;
  const double t = (mixed + std::sqrt(root)) / sum;
  const double da = ta - t, db = tb - t;
  if (q11 * da + q12 * db > 0.0 || q12 * da + q22 * db > 0.0) return never;
  return t;
}

}  // namespace

Wave run_wave(const TriMesh& mesh, std::span<const std::uint8_t> inside,
              std::span<const VertexId> start) {
  const std::size_t n = mesh.points.size();
  std::vector<std::int32_t> first(n + 1, 0);
  const auto each_corner = [&](auto&& use) {
    for (std::size_t t = 0; t < inside.size(); ++t)
      if (inside[t] != 0)
        for (const VertexId v : mesh.triangles[make_id<TriId>(t)]) use(index(v), t);
  };
  each_corner([&](std::size_t v, std::size_t) { ++first[v + 1]; });
  std::partial_sum(first.begin(), first.end(), first.begin());
  std::vector<std::int32_t> around(static_cast<std::size_t>(first.back()));
  std::vector<std::int32_t> next(first.begin(), first.end() - 1);
  each_corner(
      [&](std::size_t v, std::size_t t) { around[next[v]++] = static_cast<std::int32_t>(t); });
  Wave wave{std::vector<double>(n, never), std::vector<std::int32_t>(n, -1)};
  std::vector<std::uint8_t> done(n, 0);
  using Entry = std::pair<double, std::int32_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  const auto offer = [&](std::size_t v, double way, std::int32_t from) {
    if (!(way < wave.way[v])) return;
    wave.way[v] = way;
    wave.from[v] = from;
    queue.emplace(way, static_cast<std::int32_t>(v));
  };
  for (const VertexId v : start)
    if (first[index(v)] < first[index(v) + 1]) offer(index(v), 0.0, -1);
  while (!queue.empty()) {
    const auto [way, v] = queue.top();
    queue.pop();
    if (done[v] != 0) continue;
    done[v] = 1;
    for (std::int32_t k = first[v]; k < first[v + 1]; ++k) {
      const Triangle& corner = mesh.triangles[TriId{around[k]}];
      for (std::size_t c = 0; c < 3; ++c) {
        const std::size_t to = index(corner[c]);
        if (done[to] != 0) continue;
        const Point at = mesh.points[corner[c]], here = mesh.points[VertexId{v}] - at;
        offer(to, way + norm(here), v);
        // The third corner.
        const VertexId other = index(corner[(c + 1) % 3]) == static_cast<std::size_t>(v)
                                   ? corner[(c + 2) % 3]
                                   : corner[(c + 1) % 3];
        if (done[index(other)] == 0) continue;
        const double there = wave.way[index(other)];
        offer(to, plane_wave(here, way, mesh.points[other] - at, there),
              there < way ? static_cast<std::int32_t>(other) : v);
      }
    }
  }
  return wave;
}

}  // namespace firstshot
