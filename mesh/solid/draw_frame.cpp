#include "mesh/solid/draw_frame.hpp"

#include <array>
#include <cmath>

#include "mesh/error.hpp"
#include "mesh/solid/draw_lines.hpp"
#include "mesh/solid/space.hpp"

namespace firstshot {
namespace {

/// Lines across the longer side when directions are compared.
constexpr int trial_lines = 200;
/// Shares of undercut that differ by less are alike: lines that graze a wall.
constexpr double same_share = 2e-3;

/// What a direction of the draw would mean.
struct Trial {
  double undercut = 0.0;  ///< share of the lines through melt that pass through it twice
  double area = 0.0;      ///< [m²]
};

Trial trial(const Shell& shell, const DrawFrame& frame) {
  const Shell turned = in_frame(shell, frame);
  const DrawLines lines(turned);
  const Box& box = lines.box();
  const double step = std::max(box.high.x - box.low.x, box.high.y - box.low.y) / trial_lines;
  std::size_t melt = 0, twice = 0;
  for (double y = box.low.y + 0.4871 * step; y < box.high.y; y += step)
    for (double x = box.low.x + 0.5137 * step; x < box.high.x; x += step) {
      const DrawColumn column = lines.at({x, y});
      melt += column.holds() ? 1 : 0;
      twice += column.intervals > 1 ? 1 : 0;
    }
  if (melt == 0) return {1.0, 0.0};
  return {static_cast<double>(twice) / static_cast<double>(melt),
          static_cast<double>(melt) * step * step};
}

Point3 combined(const DrawFrame& f, const Point3& p) {
  return {p.x * f.x.x + p.y * f.y.x + p.z * f.z.x, p.x * f.x.y + p.y * f.y.y + p.z * f.z.y,
          p.x * f.x.z + p.y * f.y.z + p.z * f.z.z};
}

Point3 scaled(const Point3& a, double s) { return {s * a.x, s * a.y, s * a.z}; }

}  // namespace

Point3 DrawFrame::into(const Point3& p) const { return {dot(p, x), dot(p, y), dot(p, z)}; }
Point3 DrawFrame::out_of(const Point3& p) const { return combined(*this, p); }

DrawFrame frame_along(const Point3& draw) {
  const double length = norm(draw);
  if (!(length > 0.0) || !std::isfinite(length))
    throw Error("the draw direction must have a length above 0");
  const Point3 z = scaled(draw, 1.0 / length);
  constexpr double on_axis = 1.0 - 1e-12;
  const std::array<Point3, 3> axes = {Point3{1, 0, 0}, Point3{0, 1, 0}, Point3{0, 0, 1}};
  for (std::size_t k = 0; k < 3; ++k) {
    const double along = dot(z, axes[k]);
    if (std::abs(along) < on_axis) continue;
    const double s = along > 0.0 ? 1.0 : -1.0;
    return {axes[(k + 1) % 3], scaled(axes[(k + 2) % 3], s), scaled(axes[k], s)};
  }
  // The axis of the file that is most square to the draw gives x.
  std::size_t best = 0;
  for (std::size_t k = 1; k < 3; ++k)
    if (std::abs(dot(z, axes[k])) < std::abs(dot(z, axes[best]))) best = k;
  Point3 x = axes[best] - scaled(z, dot(z, axes[best]));
  x = scaled(x, 1.0 / norm(x));
  return {x, cross(z, x), z};
}

DrawFrame best_frame(const Shell& shell) {
  DrawFrame best;
  Trial best_trial = trial(shell, best);
  for (const Point3& draw : {Point3{0, 1, 0}, Point3{1, 0, 0}}) {
    const DrawFrame frame = frame_along(draw);
    const Trial found = trial(shell, frame);
    const bool alike = std::abs(found.undercut - best_trial.undercut) <= same_share;
    constexpr double clearly_larger = 1.01;
    if (alike ? found.area <= clearly_larger * best_trial.area
              : found.undercut > best_trial.undercut)
      continue;
    best = frame;
    best_trial = found;
  }
  return best;
}

Shell in_frame(const Shell& shell, const DrawFrame& frame) {
  Shell out = shell;
  for (Point3& p : out.points) p = frame.into(p);
  return out;
}

}  // namespace firstshot
