#include "solver/flow/air_outlets.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>
#include <optional>
#include <set>
#include <string>

#include "mesh/error.hpp"
#include "mesh/rim.hpp"
#include "solver/flow/pin_gaps.hpp"

namespace firstshot {
namespace {

/// A slit before they are sorted by node.
struct RawSlit {
  std::size_t node = 0;
  AirOutlets::Slit slit;
};

struct Rims {
  const Model& model;
  std::vector<RimLoop> loops;
  std::set<std::array<VertexId, 2>> mouths;  ///< sides that are no rim but an open mouth

  explicit Rims(const Model& m) : model(m), loops(rim_loops(m)) {
    for (const auto& side : m.open_sides) {
      mouths.insert(side);
      mouths.insert({side[1], side[0]});
    }
  }
  std::size_t size(std::size_t loop) const { return loops[loop].vertices.size(); }
  VertexId vertex(std::size_t loop, std::size_t k) const {
    return loops[loop].vertices[k % size(loop)];
  }
  bool is_mouth(std::size_t loop, std::size_t k) const {
    return mouths.count({vertex(loop, k), vertex(loop, k + 1)}) > 0;
  }
  std::size_t node(std::size_t loop, std::size_t k) const {
    return index(model.node_of_vertex[vertex(loop, k)]);
  }
};

[[noreturn]] void refuse(const Vent& vent, const std::string& what) {
  const Point at = vent.at.empty() ? Point{} : vent.at.front();
  throw GeometryError((vent.origin.empty() ? std::string("vent") : vent.origin + ": vent") + what,
                      at.x, at.y);
}

std::string in_mm(double length) {
  char text[40];
  std::snprintf(text, sizeof text, "%.4g mm", length * 1e3);
  return text;
}

void check_numbers(const Vent& v) {
  if (v.at.empty() || v.at.size() > 2) refuse(v, ".at must be one place or the two ends of a line");
  if (!(v.width > 0.0) || !(v.depth > 0.0) || !(v.land > 0.0))
    refuse(v, " must have width, depth and land above 0");
}

double deepest_at(const Model& model, std::size_t node) {
  double deepest = 0.0;
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    for (VertexId v : model.mesh.triangles[id])
      if (index(model.node_of_vertex[v]) == node) deepest = std::max(deepest, model.thickness[id]);
  }
  for (const LineElement& line : model.lines.span())
    if (index(line.from) == node || index(line.to) == node)
      deepest = std::max({deepest, depth(line.start), depth(line.end)});
  return deepest;
}

void check_depth(const Model& model, const Vent& vent, std::size_t node) {
  const double deepest = deepest_at(model, node);
  if (vent.depth < deepest) return;
  refuse(vent, ".depth of " + in_mm(vent.depth) + " is no less than the " + in_mm(deepest) +
                   " of the cavity there; a vent must be much shallower than the part");
}

/// Blind end of a channel near a point.
std::optional<std::size_t> runner_end(const Model& model, const Point& at) {
  for (const std::size_t i : runner_ends(model)) {
    const Point3& p = model.position[make_id<NodeId>(i)];
    if (std::hypot(p.x - at.x, p.y - at.y) <= vent_reach) return i;
  }
  return std::nullopt;
}

/// Part of a loop, from `from` on [m].
struct Stretch {
  std::size_t loop;
  double from, length;
};

/// Spreads `width` evenly over a stretch.
void spread(const Rims& rims, const Stretch& stretch, double width, std::int32_t kind,
            std::vector<RawSlit>& raw) {
  const auto [loop, from, length] = stretch;
  const RimLoop& rim = rims.loops[loop];
  const auto overlap = [&rim, from = from, length = length](double a, double b) {
    double sum = 0.0;  // the stretch may reach over the loop's start
    for (const double turn : {-rim.length(), 0.0, rim.length()})
      sum += std::max(0.0, std::min(b, from + length + turn) - std::max(a, from + turn));
    return sum;
  };
  for (std::size_t k = 0; k < rims.size(loop); ++k) {
    if (rims.is_mouth(loop, k)) continue;
    const double middle = 0.5 * (rim.at[k] + rim.at[k + 1]);
    const double first = overlap(rim.at[k], middle), second = overlap(middle, rim.at[k + 1]);
    if (first > 0.0) raw.push_back({rims.node(loop, k), {kind, width * first / length}});
    if (second > 0.0) raw.push_back({rims.node(loop, k + 1), {kind, width * second / length}});
  }
}

void add_vent(const Rims& rims, const Vent& vent, std::int32_t kind, std::vector<RawSlit>& raw) {
  check_numbers(vent);
  const auto first = nearest_rim(rims.model.mesh, rims.loops, vent.at.front());
  if (!first || first->distance > vent_reach) {
    const auto end = runner_end(rims.model, vent.at.front());
    if (vent.at.size() > 1 || !end)
      refuse(vent, first ? ".at lies " + in_mm(first->distance) +
                               " from the nearest edge of a part; allowed: up to " +
                               in_mm(vent_reach) + " from an edge or the end of a runner"
                         : ".at lies on no edge and no end of a runner");
    check_depth(rims.model, vent, *end);
    raw.push_back({*end, {kind, vent.width}});
    return;
  }
  const double loop_length = rims.loops[first->loop].length();
  double from = first->at - 0.5 * vent.width;
  double length = vent.width;
  if (vent.at.size() == 2) {
    const auto second = nearest_rim(rims.model.mesh, rims.loops, vent.at.back());
    if (second->distance > vent_reach)
      refuse(vent, ".at ends " + in_mm(second->distance) +
                       " from the nearest edge of a part; allowed: up to " + in_mm(vent_reach));
    if (second->loop != first->loop)
      refuse(vent, ".at has its two ends on different edges; allowed: both on one outline");
    from = std::min(first->at, second->at);
    length = std::abs(first->at - second->at);
    if (2.0 * length > loop_length) {  // the other way round is shorter
      from += length;
      length = loop_length - length;
    }
  }
  constexpr double rounding = 1.0 + 1e-6;
  if (length > loop_length || vent.width > length * rounding)
    refuse(vent, ".width of " + in_mm(vent.width) + " is more than the " +
                     in_mm(std::min(length, loop_length)) + " of edge it lies on");
  const std::size_t before = raw.size();
  spread(rims, {first->loop, from, length}, vent.width, kind, raw);
  for (std::size_t k = before; k < raw.size(); ++k) check_depth(rims.model, vent, raw[k].node);
}

}  // namespace

std::vector<std::size_t> runner_ends(const Model& model) {
  std::vector<int> uses(model.n_nodes(), 0);
  for (NodeId n : model.node_of_vertex.span()) uses[index(n)] += 2;
  for (const LineElement& line : model.lines.span()) {
    ++uses[index(line.from)];
    ++uses[index(line.to)];
  }
  uses[index(model.injection)] += 2;
  std::vector<std::size_t> ends;
  for (std::size_t i = 0; i < uses.size(); ++i)
    if (uses[i] == 1) ends.push_back(i);
  return ends;
}

std::vector<double> parting_line_length(const Model& model) {
  std::vector<double> length(model.n_nodes(), 0.0);
  const Rims rims(model);
  for (std::size_t l = 0; l < rims.loops.size(); ++l) {
    if (!rims.loops[l].outer) continue;
    for (std::size_t k = 0; k < rims.size(l); ++k) {
      if (rims.is_mouth(l, k)) continue;
      const double half = 0.5 * (rims.loops[l].at[k + 1] - rims.loops[l].at[k]);
      length[rims.node(l, k)] += half;
      length[rims.node(l, k + 1)] += half;
    }
  }
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[static_cast<std::size_t>(line.channel)].role == Role::sprue) continue;
    length[index(line.from)] += line.length;  // two sides of half an element
    length[index(line.to)] += line.length;
  }
  return length;
}

AirOutlets air_outlets(const Setup& setup) {
  const AirSettings& air = setup.air;
  AirOutlets out;
  std::vector<RawSlit> raw;
  out.kinds.push_back({air.parting_line_gap, air.parting_line_land});
  if (air.parting_line_gap > 0.0) {
    const std::vector<double> length = parting_line_length(setup.model);
    for (std::size_t i = 0; i < length.size(); ++i)
      if (length[i] > 0.0) raw.push_back({i, {0, length[i]}});
  }
  const Rims rims(setup.model);
  for (const Vent& vent : air.vents) {
    const auto kind = static_cast<std::int32_t>(out.kinds.size());
    out.kinds.push_back({air.vent_depth_factor * vent.depth, vent.land});
    add_vent(rims, vent, kind, raw);
  }
  for (const EjectorPin& pin : setup.ejectors) {
    const auto kind = static_cast<std::int32_t>(out.kinds.size());
    out.kinds.push_back({pin.clearance, pin.land});
    for (const PinArc& arc : pin_arcs(setup.model, pin))
      raw.push_back({arc.node, {kind, arc.length}});
  }
  std::stable_sort(raw.begin(), raw.end(), [](const RawSlit& a, const RawSlit& b) {
    return a.node != b.node ? a.node < b.node : a.slit.kind < b.slit.kind;
  });
  out.start.assign(setup.model.n_nodes() + 1, 0);
  for (const RawSlit& r : raw) {
    ++out.start[r.node + 1];
    out.slits.push_back(r.slit);
  }
  std::partial_sum(out.start.begin(), out.start.end(), out.start.begin());
  return out;
}

std::vector<double> shut_off_length(const Setup& setup) {
  std::vector<double> length = parting_line_length(setup.model);
  for (const EjectorPin& pin : setup.ejectors)
    for (const PinArc& arc : pin_arcs(setup.model, pin)) length[arc.node] += arc.length;
  if (setup.air.vents.empty()) return length;
  const AirOutlets outlets = air_outlets(setup);
  for (std::size_t i = 0; i < length.size(); ++i) {
    if (length[i] > 0.0) continue;
    for (const AirOutlets::Slit& slit : outlets.of(i)) length[i] += slit.width;
  }
  return length;
}

}  // namespace firstshot
