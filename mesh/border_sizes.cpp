#include "mesh/border_sizes.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/crossings.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Elements across a part at its narrow places: enough for the parabola of side-wall drag.
constexpr double across_part = 4.0;
/// Elements between a step's border and the next border: the edge must exist, no profile to
/// resolve.
constexpr double across_step = 2.0;
/// A width is not resolved below this share of the open size: the tip of a wedge has no width.
/// Channels drawn as areas have no such tips, and their width is what matters.
constexpr double smallest_share_in_part = 0.1;
constexpr double smallest_share_in_channel = 0.01;
/// Two borders face each other, and so bound a width, when the ray from one meets the other at less
/// than 60° from square.
constexpr double facing_cosine = 0.5;
/// A short side beside long ones (a left-over piece) asks for no fine mesh around it beyond this
/// share of its longer neighbour.
constexpr double beside_share = 0.5;

bool is_wall(const Borders& borders, const BorderSide& side) {
  return std::any_of(side.uses.begin(), side.uses.end(), [&](const SideUse& use) {
    const BorderKind kind = borders.loops[use.loop].kind;
    return kind == BorderKind::outline || kind == BorderKind::hole;
  });
}

double elements_across(const Area& area, const MeshOptions& options) {
  if (area.role == Role::runner) return options.across_channel;
  if (area.role == Role::gate) return options.across_gate;
  return across_part;
}

/// Measures the free way from borders into the areas.
class WidthProbe {
 public:
  WidthProbe(const Layout& layout, const Borders& borders, const MeshOptions& options)
      : layout_(layout),
        borders_(borders),
        options_(options),
        sides_(border_sides(borders)),
        grid_(grid_of(borders, sides_)) {
    for (const BorderSide& side : sides_) wall_.push_back(is_wall(borders, side));
  }

  void add_features(std::vector<SizeFeature>& features) {
    for (std::size_t s = 0; s < sides_.size(); ++s) {
      const Point a = borders_.points[sides_[s].a];
      const Point b = borders_.points[sides_[s].b];
      const int n = static_cast<int>(std::ceil(distance(a, b) / (0.5 * options_.element_size)));
      for (int k = 0; k < n; ++k) {
        add_piece(static_cast<int>(s), between(a, b, static_cast<double>(k) / n),
                  between(a, b, static_cast<double>(k + 1) / n), features);
      }
    }
  }

 private:
  /// Free way from a border, and the edge length it asks for.
  struct Way {
    Point end;          ///< where a wall stands opposite [m]
    double size = 0.0;  ///< [m]
  };

  /// Features for a piece of a side: along it, and across to the opposite walls, so that the size
  /// in the middle of a channel is the same as at its walls.
  void add_piece(int s, Point start, Point end, std::vector<SizeFeature>& features) {
    const Point middle = between(start, end, 0.5);
    const std::vector<Way> ways = ways_from(s, middle);
    double smallest = options_.element_size;
    for (const Way& way : ways) smallest = std::min(smallest, way.size);
    if (smallest >= options_.element_size) return;
    if (distance(start, end) > 1.5 * smallest) {
      add_piece(s, start, middle, features);
      add_piece(s, middle, end, features);
      return;
    }
    for (const Way& way : ways) {
      features.push_back({start, end, way.size});
      features.push_back({middle, way.end, way.size});
    }
  }

  std::vector<Way> ways_from(int s, Point p) {
    const BorderSide& side = sides_[s];
    const Point along = borders_.points[side.b] - borders_.points[side.a];
    const Point left = (1.0 / norm(along)) * turned_left(along);
    std::vector<Way> ways;
    for (const SideUse& use : side.uses) {
      const BorderLoop& loop = borders_.loops[use.loop];
      if (loop.kind == BorderKind::mouth) continue;
      // Loops run counter-clockwise: left is inside an outline and outside a hole.
      const double into = use.forward == (loop.kind != BorderKind::hole) ? 1.0 : -1.0;
      const Area& area = layout_.areas[loop.area];
      ways.push_back(way_along(s, p, into * left, area));
      if (loop.kind == BorderKind::step && !wall_[s]) {
        ways.push_back(way_along(s, p, -into * left, area));
      }
    }
    return ways;
  }

  /// Free way from p on side s in a direction that leads into the area.
  Way way_along(int s, Point p, Point direction, const Area& area) {
    const double n = elements_across(area, options_);
    const double reach = n * options_.element_size;
    grid_.near(p, p + reach * direction, 0.0, found_);
    double to_wall = reach;
    double to_any = reach;
    for (const int other : found_) {
      if (other == s) continue;
      const auto& [c, d] = grid_.ends(other);
      const double c_side = cross(direction, c - p);
      const double d_side = cross(direction, d - p);
      if ((c_side > 0.0) == (d_side > 0.0)) continue;
      if (std::abs(d_side - c_side) < facing_cosine * distance(c, d)) continue;
      const double way = dot(between(c, d, c_side / (c_side - d_side)) - p, direction);
      if (way < snap_tolerance) continue;
      to_any = std::min(to_any, way);
      if (wall_[other]) to_wall = std::min(to_wall, way);
    }
    const double by_walls = wall_[s] ? to_wall / n : options_.element_size;
    const double share =
        area.role == Role::part ? smallest_share_in_part : smallest_share_in_channel;
    const double size =
        std::max(std::min(by_walls, to_any / across_step), share * options_.element_size);
    return {by_walls <= to_any / across_step ? p + to_wall * direction : p, size};
  }

  const Layout& layout_;
  const Borders& borders_;
  const MeshOptions& options_;
  std::vector<BorderSide> sides_;
  SegmentGrid grid_;
  std::vector<bool> wall_;
  std::vector<int> found_;
};

void add_short_sides(const Borders& borders, double open_size, std::vector<SizeFeature>& features) {
  for (const BorderLoop& loop : borders.loops) {
    const std::size_t n = loop.points.size();
    const auto point = [&](std::size_t i) { return borders.points[loop.points[i % n]]; };
    for (std::size_t i = 0; i < n; ++i) {
      const double before = distance(point(i + n - 1), point(i));
      const double here = distance(point(i), point(i + 1));
      const double after = distance(point(i + 1), point(i + 2));
      const double size = std::max(here, beside_share * std::max(before, after));
      if (size < open_size) features.push_back({point(i), point(i + 1), size});
    }
  }
}

/// Points that divide the line a → b into pieces of the wanted size, without its ends.
std::vector<Point> division(Point a, Point b, const SizeField& field) {
  // March in quarters of the local size and sum up the number of elements passed.
  constexpr double march = 0.25;
  // A side a little longer than the wanted size is left in one piece.
  constexpr double spare = 0.25;
  const double length = distance(a, b);
  std::vector<double> way = {0.0};
  std::vector<double> elements = {0.0};
  double density = 1.0 / field.at(a);
  while (way.back() < length) {
    const double next = std::min(length, way.back() + march / density);
    const double next_density = 1.0 / field.at(between(a, b, next / length));
    elements.push_back(elements.back() + (next - way.back()) * 0.5 * (density + next_density));
    way.push_back(next);
    density = next_density;
  }
  const int n = std::max(1, static_cast<int>(std::ceil(elements.back() - spare)));
  std::vector<Point> points;
  std::size_t i = 0;
  for (int k = 1; k < n; ++k) {
    const double target = elements.back() * k / n;
    while (elements[i + 1] < target) ++i;
    const double share = (target - elements[i]) / (elements[i + 1] - elements[i]);
    points.push_back(between(a, b, (way[i] + share * (way[i + 1] - way[i])) / length));
  }
  return points;
}

}  // namespace

std::vector<SizeFeature> border_features(const Layout& layout, const Borders& borders,
                                         const MeshOptions& options) {
  std::vector<SizeFeature> features;
  add_short_sides(borders, options.element_size, features);
  WidthProbe(layout, borders, options).add_features(features);
  return features;
}

void divide_sides(Borders& borders, const SizeField& field) {
  const std::vector<BorderSide> sides = border_sides(borders);
  std::vector<Insertion> insertions;
  for (std::size_t s = 0; s < sides.size(); ++s) {
    Insertion insertion{static_cast<int>(s), {}};
    for (const Point p : division(borders.points[sides[s].a], borders.points[sides[s].b], field)) {
      insertion.points.push_back(static_cast<int>(borders.points.size()));
      borders.points.push_back(p);
    }
    if (!insertion.points.empty()) insertions.push_back(std::move(insertion));
  }
  insert_points(borders, sides, insertions);
}

}  // namespace firstshot
