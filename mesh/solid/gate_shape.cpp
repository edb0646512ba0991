#include "mesh/solid/gate_shape.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

/// A gate ends where its section has grown by this.
constexpr double grown = 1.3;
constexpr double longest_over_width = 30.0;

/// Rim on both sides of a place: nearest crossings of the line through p along `across`.
struct Span {
  double left = -1e300, right = 1e300;  ///< along `across` from p [m]
  Point left_side, right_side;          ///< directions of the rim there
  double width() const { return right - left; }
};

Span span_at(std::span<const PlanLoop> loops, Point p, Point across) {
  Span span;
  for (const PlanLoop& loop : loops)
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Point a = loop[i] - p, b = loop[(i + 1) % loop.size()] - p;
      const double sa = cross(across, a), sb = cross(across, b);
      if ((sa > 0.0) == (sb > 0.0)) continue;
      const double at = dot(between(a, b, sa / (sa - sb)), across);
      if (at >= 0.0 && at < span.right) {
        span.right = at;
        span.right_side = b - a;
      } else if (at < 0.0 && at > span.left) {
        span.left = at;
        span.left_side = b - a;
      }
    }
  return span;
}

/// The ridge knows the direction to a step of the grid; the walls themselves know it exactly.
Point square_to_walls(std::span<const PlanLoop> loops, Point p, Point across) {
  const Span span = span_at(loops, p, across);
  if (!(span.width() < 1e100)) return across;
  // Rims run round the melt, so walls that face each other have opposite directions.
  const Point along = (1.0 / norm(span.right_side)) * span.right_side -
                      (1.0 / norm(span.left_side)) * span.left_side;
  if (!(norm(along) > 1.0)) return across;  // more than 120° between the walls
  const Point square = (1.0 / norm(along)) * Point{along.y, -along.x};
  return dot(square, across) >= 0.0 ? square : -1.0 * square;
}

/// Grid point next to p, -1 where that lies beside the melt.
std::ptrdiff_t cell_at(const ColumnGrid& columns, Point p) {
  const int i = static_cast<int>(std::lround((p.x - columns.grid.low.x) / columns.grid.cell));
  const int j = static_cast<int>(std::lround((p.y - columns.grid.low.y) / columns.grid.cell));
  if (i < 0 || j < 0 || i >= columns.grid.nx || j >= columns.grid.ny) return -1;
  const std::size_t cell = columns.grid.index(i, j);
  return columns.holds(cell) ? static_cast<std::ptrdiff_t>(cell) : -1;
}

void measure_chords(const ColumnGrid& columns, SectionAcross& s) {
  constexpr int n = 16;
  double sum = 0.0, heights = 0.0;
  int count = 0;
  for (int k = 0; k < n; ++k) {
    const std::ptrdiff_t cell = cell_at(columns, between(s.cut[0], s.cut[1], (k + 0.5) / n));
    if (cell < 0) continue;
    const double chord = columns.chord(cell);
    sum += chord;
    heights += 0.5 * (columns.lower[cell] + columns.upper[cell]);
    s.deepest = std::max(s.deepest, chord);
    ++count;
  }
  if (count == 0) return;
  s.depth = sum / count;
  s.height = heights / count;
}

}  // namespace

SectionAcross section_across(const RoleInput& in, Point p, Point across) {
  const Span span = span_at(in.loops, p, across);
  SectionAcross s;
  if (!(span.width() < 1e100)) return s;
  s.cut = {p + span.left * across, p + span.right * across};
  s.width = span.width();
  measure_chords(in.columns, s);
  return s;
}

Section alike_section(const SectionAcross& of, const SectionAcross& measured) {
  // Share of width times greatest depth that is filled: above the first it is a rectangle, below
  // the second no trapezoid; a circle fills π/4.
  constexpr double rectangle = 0.97, least_trapezoid = 0.55, circle = std::numbers::pi / 4.0;
  constexpr double near_circle = 0.04, near_ratio = 0.08;
  const double filled = of.depth / of.deepest, flat = of.deepest / of.width;
  const bool arc = std::abs(filled - circle) < near_circle;
  const auto trapezoid = [&](const SectionAcross& s) {
    const double fills = std::max(s.depth / s.deepest, least_trapezoid);
    const double deep = s.area() / (s.width * fills);
    const double draft = std::atan(s.width * (1.0 - fills) / deep);
    return TrapezoidSection{s.width, deep, draft * 180.0 / std::numbers::pi};
  };
  const auto is_arc = [&](double perimeter_of_arc) {
    return arc && (!(of.perimeter > 0.0) ||
                   std::abs(of.perimeter - perimeter_of_arc) <
                       std::abs(of.perimeter - perimeter(Section{trapezoid(of)})));
  };
  const auto round = [](double area) { return RoundSection{std::sqrt(area / circle)}; };
  const auto half = [](double area) { return HalfRoundSection{std::sqrt(2.0 * area / circle)}; };
  if (std::abs(flat - 1.0) < near_ratio && is_arc(perimeter(Section{round(of.area())})))
    return round(measured.area());
  if (std::abs(flat - 0.5) < 0.5 * near_ratio && is_arc(perimeter(Section{half(of.area())})))
    return half(measured.area());
  if (filled > rectangle || filled < least_trapezoid)
    return RectangleSection{measured.width, measured.depth};
  return trapezoid(measured);
}

double wetted_perimeter(const ColumnGrid& columns, const Cut& cut) {
  constexpr int n = 40;
  const double piece = distance(cut[0], cut[1]) / n;
  double sum = 0.0, lower = 0.0, upper = 0.0;
  int count = 0;
  for (int k = 0; k < n; ++k) {
    const Point p = between(cut[0], cut[1], (k + 0.5) / n);
    const std::ptrdiff_t cell = cell_at(columns, p);
    if (cell < 0) continue;
    const double below = columns.lower[cell], above = columns.upper[cell];
    // Upright at the end; the slant of a flank is shared out to its steps.
    sum += count == 0 ? above - below + piece
                      : std::hypot(piece, below - lower) + std::hypot(piece, above - upper);
    if (count == 0) sum += piece;
    lower = below;
    upper = above;
    ++count;
  }
  return sum + (upper - lower);
}

std::optional<GateShape> gate_at(const RoleInput& in, const Neck& neck, bool part_is_b) {
  // The ridge knows which way the walls face.
  const RidgePoint* nearest = nullptr;
  for (const RidgePoint& r : in.ridge)
    if (nearest == nullptr || distance(r.at, neck.at) < distance(nearest->at, neck.at))
      nearest = &r;
  if (nearest == nullptr || distance(nearest->at, neck.at) > 2.0 * nearest->width)
    return std::nullopt;
  const Point across = square_to_walls(in.loops, nearest->at, nearest->across);
  Point along = turned_left(across);
  SectionAcross narrowest = section_across(in, nearest->at, across);
  if (!(narrowest.area() > 0.0)) return std::nullopt;
  const double step = std::min(in.columns.grid.cell, 0.1 * narrowest.width);
  const double reach = longest_over_width * narrowest.width;

  // Which way is the part: the piece met first on either side.
  const std::int32_t part = part_is_b ? neck.b : neck.a;
  const std::int32_t other = part_is_b ? neck.a : neck.b;
  for (double way = step; way < reach; way += step) {
    const std::int32_t ahead = in.necks.at(in.columns.grid, nearest->at + way * along);
    const std::int32_t behind = in.necks.at(in.columns.grid, nearest->at - way * along);
    if (ahead == behind) continue;
    if (ahead == other || behind == part) along = -1.0 * along;
    break;
  }
  // Find the smallest section first, then how far it goes.
  const auto walk = [&](double direction, double limit, auto&& visit) {
    double last = 0.0;
    for (double way = step; way < reach; way += step) {
      const SectionAcross s = section_across(in, nearest->at + (direction * way) * along, across);
      if (!(s.area() > 0.0) || s.area() > limit) break;
      visit(s);
      last = way;
    }
    return last;
  };
  for (const double direction : {-1.0, 1.0})
    walk(direction, grown * narrowest.area(), [&](const SectionAcross& s) {
      if (s.area() < narrowest.area()) narrowest = s;
    });
  const auto ignore = [](const SectionAcross&) {};
  const double back = walk(-1.0, grown * narrowest.area(), ignore);
  const double ahead = walk(1.0, grown * narrowest.area(), ignore);
  GateShape gate;
  gate.start = section_across(in, nearest->at - back * along, across).cut;
  gate.end = section_across(in, nearest->at + ahead * along, across).cut;
  gate.size.at = between(narrowest.cut[0], narrowest.cut[1], 0.5);
  gate.size.width = narrowest.width;
  gate.size.depth = narrowest.depth;
  gate.size.length = back + ahead + step;
  return gate;
}

bool lies_between(const Cut& start, const Cut& end, Point p) {
  const Point a = between(start[0], start[1], 0.5), b = between(end[0], end[1], 0.5);
  const Point across = start[1] - start[0];
  const Point along = turned_left(across);
  const double from = dot(a - p, along), to = dot(b - p, along);
  if ((from > 0.0) == (to > 0.0)) return false;
  const double width = std::max(norm(across), norm(end[1] - end[0]));
  return std::abs(dot(p - between(a, b, 0.5), across)) <= 0.6 * width * norm(across);
}

}  // namespace firstshot
