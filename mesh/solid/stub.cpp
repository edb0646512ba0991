#include "mesh/solid/stub.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/solid/gate_shape.hpp"

namespace firstshot {
namespace {

/// As in narrowings.cpp.
constexpr double same_area_share = 0.08;
/// A stub ends where its section has grown by this.
constexpr double grown = 1.3;
/// Behind the gate the section is the stub's once it changes by less than this from step to step.
constexpr double settled = 0.02;
/// Longer ones are runners, shorter ones nothing; in widths.
constexpr double longest = 4.0, shortest = 0.2;
/// The channel a stub hangs on is looked at from this many of its widths beside the joint on.
constexpr double beside_joint = 0.8;

/// The channel in front of a stub that opens at `mouth`, the melt coming from `upstream`.
double area_before(const RoleInput& in, Point mouth, Point upstream, const SectionAcross& stub) {
  const Point across = (1.0 / stub.width) * (stub.cut[1] - stub.cut[0]);
  const RidgePoint* nearest = nullptr;
  double least = 1e300;
  for (const RidgePoint& r : in.ridge) {
    const Point joint = mouth + (0.5 * r.width) * upstream;
    const double away = distance(r.at, joint);
    if (away < beside_joint * r.width || away >= least) continue;
    if (dot(r.at - mouth, upstream) <= 0.0) continue;
    // Another stub that hangs on the same channel opposite.
    const bool in_line = std::abs(dot(r.at - mouth, across)) < 0.5 * stub.width;
    if (in_line && r.width < (1.0 + 2.0 * same_area_share) * stub.width) continue;
    least = away;
    nearest = &r;
  }
  if (nearest == nullptr || least > 3.0 * nearest->width) return 0.0;
  return section_across(in, nearest->at, nearest->across).area();
}

}  // namespace

std::optional<Stub> stub_before(const RoleInput& in, const GateShape& gate) {
  const Point start = between(gate.start[0], gate.start[1], 0.5);
  const Point end = between(gate.end[0], gate.end[1], 0.5);
  const double length = distance(start, end), width = distance(gate.start[0], gate.start[1]);
  if (!(length > 0.0) || !(width > 0.0)) return std::nullopt;
  const Point upstream = (1.0 / length) * (start - end);
  const Point across = (1.0 / width) * (gate.start[1] - gate.start[0]);
  const double step = std::min(in.columns.grid.cell, 0.1 * width);
  double way = step;
  SectionAcross stub, last;
  for (; way < width; way += step) {
    const SectionAcross s = section_across(in, start + way * upstream, across);
    if (last.area() > grown * gate.size.width * gate.size.depth &&
        std::abs(s.area() - last.area()) < settled * last.area()) {
      stub = s;
      break;
    }
    last = s;
  }
  if (!(stub.area() > 0.0)) return std::nullopt;
  for (;; way += step) {
    if (way > longest * stub.width) return std::nullopt;
    const SectionAcross s = section_across(in, start + way * upstream, across);
    if (!(s.area() > 0.0) || s.area() > grown * stub.area()) break;
    if (s.area() < stub.area()) stub = s;
  }
  if (way < shortest * stub.width) return std::nullopt;
  const Point mouth = start + way * upstream;
  if (!(stub.area() < (1.0 - same_area_share) * area_before(in, mouth, upstream, stub)))
    return std::nullopt;
  const Point half = (0.5 * stub.width) * across;
  Stub found;
  found.end = {start - half, start + half};
  found.start = {mouth - half, mouth + half};
  found.length = way;
  found.hydraulic_radius = 2.0 * stub.area() / wetted_perimeter(in.columns, stub.cut);
  return found;
}

}  // namespace firstshot
