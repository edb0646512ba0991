#include "solver/flow/duct_elements.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

// Half of a section, x ≥ 0, as the image of the unit square: u = 0 is the plane of symmetry, the
// other three sides are walls.
struct HalfSection {
  double wide, narrow, depth;  // half widths at v = 0 and v = 1, depth [m]
  bool half_round;
  Point at(double u, double v) const {
    if (half_round) {  // (1-u²)(1-v²) = 1 - (x² + y²)/R²: the outline is met exactly
      const double R = depth;
      return {R * u * std::sqrt(1.0 - 0.5 * v * v), R * v * std::sqrt(1.0 - 0.5 * u * u)};
    }
    return {u * (wide + v * (narrow - wide)), v * depth};
  }
};

HalfSection half_of(const RoundSection& /*s*/) {
  throw Error("a round section is solved in closed form, not by elements");
}
HalfSection half_of(const HalfRoundSection& s) {
  const double R = 0.5 * s.diameter;
  return {R, R, R, true};
}
HalfSection half_of(const TrapezoidSection& s) {
  const double lost = s.depth * std::tan(s.draft_deg * std::numbers::pi / 180.0);
  return {0.5 * s.width, std::max(0.0, 0.5 * s.width - lost), s.depth, false};
}
HalfSection half_of(const RectangleSection& s) {  // lying down: the flow does not care
  const double half_width = 0.5 * std::max(s.width, s.depth);
  return {half_width, half_width, std::min(s.width, s.depth), false};
}

// Element borders on 0 … 1 for a stretch of `length` [m] with a wall at its end: small at the wall,
// then growing up to a limit, and without limit further than `gap` [m] from the wall.
std::vector<double> borders_from_wall(double length, double gap, double fineness) {
  const double first = 0.03 / fineness;
  const double growth = std::pow(1.5, 1.0 / fineness);
  const double largest = 0.16 / fineness;
  std::vector<double> distance = {0.0};
  double size = first * gap;
  while (distance.back() < length) {
    distance.push_back(distance.back() + size);
    if (size * growth < largest * gap || distance.back() > gap) size *= growth;
  }
  std::vector<double> borders;
  for (auto d = distance.rbegin(); d != distance.rend(); ++d)
    borders.push_back(1.0 - *d / distance.back());
  return borders;
}

// The same with walls at both ends.
std::vector<double> borders_between_walls(double length, double gap, double fineness) {
  const std::vector<double> half = borders_from_wall(0.5 * length, gap, fineness);
  std::vector<double> borders;
  for (auto b = half.rbegin(); b != half.rend(); ++b) borders.push_back(0.5 * (1.0 - *b));
  for (std::size_t i = 1; i < half.size(); ++i) borders.push_back(0.5 * (1.0 + half[i]));
  return borders;
}

struct Quadratic {
  std::array<double, 3> value, slope;
};
Quadratic quadratic(double t) {  // nodes at -1, 0, 1
  return {{0.5 * t * (t - 1.0), 1.0 - t * t, 0.5 * t * (t + 1.0)}, {t - 0.5, -2.0 * t, t + 0.5}};
}

constexpr std::array<double, 3> gauss_place = {-0.7745966692414834, 0.0, 0.7745966692414834};
constexpr std::array<double, 3> gauss_weight = {5.0 / 9.0, 8.0 / 9.0, 5.0 / 9.0};

DuctPoint point(const std::array<Point, 9>& nodes, int i, int j) {
  const Quadratic a = quadratic(gauss_place[i]);
  const Quadratic b = quadratic(gauss_place[j]);
  DuctPoint q;
  double xs = 0.0, xt = 0.0, ys = 0.0, yt = 0.0;
  for (int k = 0; k < 9; ++k) {
    q.value[k] = a.value[k % 3] * b.value[k / 3];
    q.dx[k] = a.slope[k % 3] * b.value[k / 3];
    q.dy[k] = a.value[k % 3] * b.slope[k / 3];
    xs += q.dx[k] * nodes[k].x;
    xt += q.dy[k] * nodes[k].x;
    ys += q.dx[k] * nodes[k].y;
    yt += q.dy[k] * nodes[k].y;
  }
  const double jacobian = xs * yt - xt * ys;
  q.weight = gauss_weight[i] * gauss_weight[j] * jacobian;
  for (int k = 0; k < 9; ++k) {
    const double s = q.dx[k];
    const double t = q.dy[k];
    q.dx[k] = (s * yt - t * ys) / jacobian;
    q.dy[k] = (t * xs - s * xt) / jacobian;
  }
  return q;
}

// Node lines: element borders and the middles between them.
std::vector<double> with_middles(const std::vector<double>& borders) {
  std::vector<double> lines = {borders.front()};
  for (std::size_t i = 1; i < borders.size(); ++i) {
    lines.push_back(0.5 * (borders[i - 1] + borders[i]));
    lines.push_back(borders[i]);
  }
  return lines;
}

}  // namespace

DuctElements duct_elements(const Section& section, double fineness) {
  if (!(area(section) > 0.0)) throw Error("a runner section must have an area above 0");
  const HalfSection half = std::visit([](const auto& s) { return half_of(s); }, section);
  const double width = half.half_round ? half.depth : 0.5 * (half.wide + half.narrow);
  const double gap = std::min(2.0 * width, half.depth);
  const std::vector<double> u = with_middles(borders_from_wall(width, gap, fineness));
  const std::vector<double> v = with_middles(borders_between_walls(half.depth, gap, fineness));
  const int n_u = static_cast<int>(u.size());
  const int n_v = static_cast<int>(v.size());
  DuctElements result;
  result.n_unknowns = (n_u - 1) * (n_v - 2);
  for (int i = 0; i + 2 < n_u; i += 2) {
    for (int j = 0; j + 2 < n_v; j += 2) {
      DuctElement element;
      std::array<Point, 9> nodes;
      for (int k = 0; k < 9; ++k) {
        const int iu = i + k % 3;
        const int jv = j + k / 3;
        nodes[k] = half.at(u[iu], v[jv]);
        const bool wall = iu == n_u - 1 || jv == 0 || jv == n_v - 1;
        element.unknown[k] = wall ? -1 : iu * (n_v - 2) + jv - 1;
      }
      for (int q = 0; q < 9; ++q) element.points[q] = point(nodes, q % 3, q / 3);
      result.elements.push_back(element);
    }
  }
  return result;
}

}  // namespace firstshot
