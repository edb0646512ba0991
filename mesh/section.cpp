#include "mesh/section.hpp"

#include <cmath>
#include <numbers>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr double pi = std::numbers::pi;

template <class... Fs>
struct Overloaded : Fs... {
  using Fs::operator()...;
};
template <class... Fs>
Overloaded(Fs...) -> Overloaded<Fs...>;

double draft_rad(const TrapezoidSection& s) { return s.draft_deg * pi / 180.0; }
double narrow_width(const TrapezoidSection& s) {
  return s.width - 2.0 * s.depth * std::tan(draft_rad(s));
}

/// Corners on an arc about the origin from angle `from` to `to` [rad], both ends included.
std::vector<Point> arc_corners(double radius, double from, double to, int n_sides) {
  std::vector<Point> corners;
  for (int i = 0; i <= n_sides; ++i) {
    const double angle = from + (to - from) * i / n_sides;
    corners.push_back({radius * std::cos(angle), radius * std::sin(angle)});
  }
  return corners;
}

}  // namespace

double area(const Section& section) {
  return std::visit(
      Overloaded{
          [](const RoundSection& s) { return pi / 4.0 * s.diameter * s.diameter; },
          [](const HalfRoundSection& s) { return pi / 8.0 * s.diameter * s.diameter; },
          [](const TrapezoidSection& s) { return 0.5 * (s.width + narrow_width(s)) * s.depth; },
          [](const RectangleSection& s) { return s.width * s.depth; }},
      section);
}

double perimeter(const Section& section) {
  return std::visit(
      Overloaded{[](const RoundSection& s) { return pi * s.diameter; },
                 [](const HalfRoundSection& s) { return (1.0 + pi / 2.0) * s.diameter; },
                 [](const TrapezoidSection& s) {
                   return s.width + narrow_width(s) + 2.0 * s.depth / std::cos(draft_rad(s));
                 },
                 [](const RectangleSection& s) { return 2.0 * (s.width + s.depth); }},
      section);
}

double hydraulic_diameter(const Section& section) {
  return 4.0 * area(section) / perimeter(section);
}

double width(const Section& section) {
  return std::visit(Overloaded{[](const RoundSection& s) { return s.diameter; },
                               [](const HalfRoundSection& s) { return s.diameter; },
                               [](const TrapezoidSection& s) { return s.width; },
                               [](const RectangleSection& s) { return s.width; }},
                    section);
}

double depth(const Section& section) {
  return std::visit(Overloaded{[](const RoundSection& s) { return s.diameter; },
                               [](const HalfRoundSection& s) { return s.diameter / 2.0; },
                               [](const TrapezoidSection& s) { return s.depth; },
                               [](const RectangleSection& s) { return s.depth; }},
                    section);
}

Section mix(const Section& a, const Section& b, double s) {
  if (a.index() != b.index()) {
    throw Error("a runner cannot change from a " + kind_name(a) + " section to a " + kind_name(b) +
                " one; both ends must be of the same kind");
  }
  const auto blend = [s](double from, double to) { return (1.0 - s) * from + s * to; };
  return std::visit(
      Overloaded{[&](const RoundSection& p) -> Section {
                   return RoundSection{blend(p.diameter, std::get<RoundSection>(b).diameter)};
                 },
                 [&](const HalfRoundSection& p) -> Section {
                   return HalfRoundSection{
                       blend(p.diameter, std::get<HalfRoundSection>(b).diameter)};
                 },
                 [&](const TrapezoidSection& p) -> Section {
                   const auto& q = std::get<TrapezoidSection>(b);
                   return TrapezoidSection{blend(p.width, q.width), blend(p.depth, q.depth),
                                           blend(p.draft_deg, q.draft_deg)};
                 },
                 [&](const RectangleSection& p) -> Section {
                   const auto& q = std::get<RectangleSection>(b);
                   return RectangleSection{blend(p.width, q.width), blend(p.depth, q.depth)};
                 }},
      a);
}

std::vector<Point> outline(const Section& section, int n_arc) {
  return std::visit(
      Overloaded{[&](const RoundSection& s) {
                   auto corners = arc_corners(s.diameter / 2.0, 0.0, 2.0 * pi, n_arc);
                   corners.pop_back();
                   return corners;
                 },
                 [&](const HalfRoundSection& s) {
                   return arc_corners(s.diameter / 2.0, pi, 2.0 * pi, (n_arc + 1) / 2);
                 },
                 [](const TrapezoidSection& s) {
                   const double wide = s.width / 2.0;
                   const double narrow = narrow_width(s) / 2.0;
                   return std::vector<Point>{
                       {-wide, 0.0}, {-narrow, -s.depth}, {narrow, -s.depth}, {wide, 0.0}};
                 },
                 [](const RectangleSection& s) {
                   const double half = s.width / 2.0;
                   return std::vector<Point>{
                       {-half, 0.0}, {-half, -s.depth}, {half, -s.depth}, {half, 0.0}};
                 }},
      section);
}

std::string kind_name(const Section& section) {
  return std::visit(Overloaded{[](const RoundSection&) { return "round"; },
                               [](const HalfRoundSection&) { return "half_round"; },
                               [](const TrapezoidSection&) { return "trapezoid"; },
                               [](const RectangleSection&) { return "rectangle"; }},
                    section);
}

}  // namespace firstshot
