#include "bodies.hpp"

#include <cmath>
#include <numbers>

namespace firstshot::test {

Shell extruded(const std::vector<Point>& section, double y0, double y1, int pieces) {
  Shell shell;
  const auto n = static_cast<std::int32_t>(section.size());
  for (int k = 0; k <= pieces; ++k)
    for (const Point& p : section) shell.points.push_back({p.x, y0 + (y1 - y0) * k / pieces, p.y});
  const auto at = [&](std::int32_t k, std::int32_t i) { return k * n + i % n; };
  for (std::int32_t k = 0; k < pieces; ++k)
    for (std::int32_t i = 0; i < n; ++i) {
      shell.triangles.push_back({at(k, i), at(k + 1, i), at(k, i + 1)});
      shell.triangles.push_back({at(k, i + 1), at(k + 1, i), at(k + 1, i + 1)});
    }
  for (std::int32_t i = 1; i + 1 < n; ++i) {
    shell.triangles.push_back({at(0, 0), at(0, i), at(0, i + 1)});
    shell.triangles.push_back({at(pieces, 0), at(pieces, i + 1), at(pieces, i)});
  }
  return shell;
}

Shell box(const Point3& low, const Point3& high) {
  return extruded({{low.x, low.z}, {high.x, low.z}, {high.x, high.z}, {low.x, high.z}}, low.y,
                  high.y);
}

Shell turned(Point centre, const std::vector<Ring>& rings, int n) {
  Shell shell;
  for (const Ring& ring : rings)
    for (int k = 0; k < n; ++k) {
      const double a = 2.0 * std::numbers::pi * k / n;
      shell.points.push_back(
          {centre.x + ring.radius * std::cos(a), centre.y + ring.radius * std::sin(a), ring.z});
    }
  const auto at = [&](std::size_t r, int k) { return static_cast<std::int32_t>(r) * n + k % n; };
  for (std::size_t r = 0; r + 1 < rings.size(); ++r)
    for (int k = 0; k < n; ++k) {
      shell.triangles.push_back({at(r, k), at(r, k + 1), at(r + 1, k)});
      shell.triangles.push_back({at(r + 1, k), at(r, k + 1), at(r + 1, k + 1)});
    }
  for (int k = 1; k + 1 < n; ++k) {
    shell.triangles.push_back({at(0, 0), at(0, k + 1), at(0, k)});
    shell.triangles.push_back(
        {at(rings.size() - 1, 0), at(rings.size() - 1, k), at(rings.size() - 1, k + 1)});
  }
  return shell;
}

Shell together(const Shell& a, const Shell& b) {
  Shell both = a;
  const auto shift = static_cast<std::int32_t>(a.points.size());
  both.points.insert(both.points.end(), b.points.begin(), b.points.end());
  for (const auto& t : b.triangles)
    both.triangles.push_back({t[0] + shift, t[1] + shift, t[2] + shift});
  return both;
}

Shell tilted(const Shell& shell, double angle) {
  Shell out = shell;
  const double c = std::cos(angle), s = std::sin(angle);
  for (Point3& p : out.points) p = {c * p.x + s * p.z, p.y, -s * p.x + c * p.z};
  return out;
}

Shell inside_out(const Shell& shell) {
  Shell out = shell;
  for (auto& t : out.triangles) std::swap(t[1], t[2]);
  return out;
}

}  // namespace firstshot::test
