#include "mesh/joint_overlap.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Two ends within 20° of one line are one channel that runs through.
constexpr double straight_cosine = 0.94, straight_sine = 0.342;

struct Through {
  Point direction;
  double width = 0.0;
  std::size_t a = 0, b = 0;
};

/// The widest channel that runs through a joint; width 0 where none does.
Through widest_through(std::span<const LegEnd> ends, const std::vector<std::size_t>& here) {
  Through best;
  for (std::size_t i = 0; i < here.size(); ++i)
    for (std::size_t j = i + 1; j < here.size(); ++j) {
      const LegEnd &a = ends[here[i]], &b = ends[here[j]];
      if (dot(a.direction, b.direction) > -straight_cosine) continue;
      const double width = 0.5 * (a.width + b.width);
      if (width > best.width) best = {a.direction, width, here[i], here[j]};
    }
  return best;
}

}  // namespace

std::vector<double> joint_overlaps(std::span<const LegEnd> ends) {
  std::map<int, std::vector<std::size_t>> at_joint;
  for (std::size_t i = 0; i < ends.size(); ++i) at_joint[ends[i].joint].push_back(i);
  std::vector<double> overlap(ends.size(), 0.0);
  for (const auto& [joint, here] : at_joint) {
    const Through through = widest_through(ends, here);
    if (!(through.width > 0.0)) continue;
    for (const std::size_t i : here) {
      const double sine = std::abs(cross(ends[i].direction, through.direction));
      if (i == through.a || i == through.b || sine < straight_sine) continue;
      overlap[i] = 0.5 * through.width / sine;
    }
  }
  return overlap;
}

}  // namespace firstshot
