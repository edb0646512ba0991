#include "solver/assess/weld_lines.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <queue>

#include "solver/assess/weld_trace.hpp"

namespace firstshot {
namespace {

constexpr double degree = 3.14159265358979323846 / 180.0;
constexpr double least_elements = 3.0;  // of a line
constexpr double beside_line = 2.0;   // what is left within this of a line belongs to it, elements
constexpr double bridge = 3.5;        // ends of one line that are this near are joined, elements
constexpr std::size_t smoothing = 2;  // points to either side
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

/// Pairs of nodes between which fronts met, joined where they share a triangle.
struct Crossings {
  std::vector<MeetingPoint> point;
  std::vector<double> size;          ///< of the elements there [m]
  std::vector<std::int32_t> region;  ///< -1: of no triangle
  std::vector<double> wall;          ///< thickness there [m]
  std::vector<std::vector<std::size_t>> beside;
};

double distance(const MeetingPoint& a, const MeetingPoint& b) {
  return std::hypot(a.at.x - b.at.x, a.at.y - b.at.y);
}

MeetingPoint meeting(const Model& model, const FrontRecord& front, const NodeField<double>& arrival,
                     std::size_t a, std::size_t b) {
  MeetingPoint m;
  const Point3 &pa = model.position.vector()[a], &pb = model.position.vector()[b];
  m.at = {0.5 * (pa.x + pb.x), 0.5 * (pa.y + pb.y)};
  const double ta = front.temperature[a], tb = front.temperature[b];
  m.temperature = ta > 0.0 && tb > 0.0 ? 0.5 * (ta + tb) : std::max(ta, tb);
  m.pressure = std::max(front.pressure[a], front.pressure[b]);
  m.time = std::max(arrival.vector()[a], arrival.vector()[b]);
  return m;
}

Crossings crossings(const Model& model, const FrontRecord& front, const NodeField<double>& arrival,
                    const WeldTrace& trace) {
  Crossings c;
  std::vector<std::size_t> crossing_of_pair(trace.pairs().size(), none);
  for (std::size_t k = 0; k < trace.pairs().size(); ++k) {
    const auto [a, b] = trace.pairs()[k];
    if (!trace.met(a, b)) continue;
    crossing_of_pair[k] = c.point.size();
    c.point.push_back(meeting(model, front, arrival, a, b));
    c.point.back().angle_deg = 180.0 - trace.turn(a, b) / degree;
    c.size.push_back(0.5 * (trace.size(a) + trace.size(b)));
  }
  c.region.assign(c.point.size(), -1);
  c.wall.assign(c.point.size(), 0.0);
  c.beside.resize(c.point.size());
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    std::vector<std::size_t> here;
    for (std::size_t s = 0; s < 3; ++s) {
      const std::size_t a = index(model.node_of_vertex[model.mesh.triangles[t][s]]);
      const std::size_t b = index(model.node_of_vertex[model.mesh.triangles[t][(s + 1) % 3]]);
      const std::pair<std::size_t, std::size_t> pair{std::min(a, b), std::max(a, b)};
      const auto found = std::lower_bound(trace.pairs().begin(), trace.pairs().end(), pair);
      if (a == b || found == trace.pairs().end() || *found != pair) continue;
      const std::size_t k =
          crossing_of_pair[static_cast<std::size_t>(found - trace.pairs().begin())];
      if (k == none) continue;
      c.region[k] = model.mesh.region[t];
      c.wall[k] = model.thickness[t];
      for (const std::size_t other : here) {
        c.beside[k].push_back(other);
        c.beside[other].push_back(k);
      }
      here.push_back(k);
    }
  }
  return c;
}

/// Shortest ways from one crossing to all others that are still `free`.
struct Reach {
  std::vector<double> length;
  std::vector<std::size_t> before;
  std::size_t farthest;
};
Reach reach(const Crossings& c, const std::vector<bool>& free, std::size_t start) {
  Reach r{std::vector<double>(c.point.size(), std::numeric_limits<double>::infinity()),
          std::vector<std::size_t>(c.point.size(), none), start};
  using Entry = std::pair<double, std::size_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  r.length[start] = 0.0;
  open.emplace(0.0, start);
  while (!open.empty()) {
    const auto [length, k] = open.top();
    open.pop();
    if (length > r.length[k]) continue;
    if (length > r.length[r.farthest]) r.farthest = k;
    for (const std::size_t other : c.beside[k]) {
      const double there = length + distance(c.point[k], c.point[other]);
      if (!free[other] || there >= r.length[other]) continue;
      r.length[other] = there;
      r.before[other] = k;
      open.emplace(there, other);
    }
  }
  return r;
}

using Chain = std::vector<std::size_t>;

/// Takes the longest chains out of what hangs together, until only crumbs are left.
std::vector<Chain> chains(const Crossings& c) {
  std::vector<Chain> out;
  std::vector<bool> free(c.point.size(), true);
  for (std::size_t k = 0; k < c.point.size(); ++k) {
    if (!free[k]) continue;
    const std::size_t end = reach(c, free, k).farthest;
    const Reach from_end = reach(c, free, end);
    Chain chain;
    for (std::size_t i = from_end.farthest; i != none; i = from_end.before[i]) chain.push_back(i);
    for (std::size_t i = 0; i < c.point.size(); ++i)
      if (std::isfinite(from_end.length[i]))
        for (const std::size_t on : chain)
          if (i == on || distance(c.point[i], c.point[on]) < beside_line * c.size[i]) {
            free[i] = false;
            break;
          }
    out.push_back(std::move(chain));
    if (free[k]) --k;  // more of the same
  }
  return out;
}

/// Joins chains of one region whose ends are near each other, nearest first.
void join(const Crossings& c, std::vector<Chain>& chains) {
  for (;;) {
    double best = std::numeric_limits<double>::infinity();
    std::size_t first = none, second = none;
    for (std::size_t i = 0; i < chains.size(); ++i)
      for (std::size_t j = i + 1; j < chains.size(); ++j) {
        if (c.region[chains[i].front()] != c.region[chains[j].front()]) continue;
        for (const std::size_t a : {chains[i].front(), chains[i].back()})
          for (const std::size_t b : {chains[j].front(), chains[j].back()}) {
            const double gap = distance(c.point[a], c.point[b]) / (0.5 * (c.size[a] + c.size[b]));
            if (gap >= best) continue;
            best = gap;
            first = i;
            second = j;
          }
      }
    if (!(best < bridge)) return;
    Chain &a = chains[first], &b = chains[second];
    const auto gap = [&](std::size_t p, std::size_t q) { return distance(c.point[p], c.point[q]); };
    if (std::min(gap(a.front(), b.front()), gap(a.front(), b.back())) <
        std::min(gap(a.back(), b.front()), gap(a.back(), b.back())))
      std::reverse(a.begin(), a.end());
    if (gap(a.back(), b.back()) < gap(a.back(), b.front())) std::reverse(b.begin(), b.end());
    a.insert(a.end(), b.begin(), b.end());
    chains.erase(chains.begin() + static_cast<std::ptrdiff_t>(second));
  }
}

/// Mean over neighbours along the line; the window shrinks towards the ends, which stay in place.
std::vector<MeetingPoint> smoothed(const std::vector<MeetingPoint>& in) {
  std::vector<MeetingPoint> out;
  for (std::size_t i = 0; i < in.size(); ++i) {
    const std::size_t reach = std::min({smoothing, i, in.size() - 1 - i});
    MeetingPoint sum = in[i];
    for (std::size_t k = 1; k <= reach; ++k)
      for (const MeetingPoint& m : {in[i - k], in[i + k]}) {
        sum.at.x += m.at.x;
        sum.at.y += m.at.y;
        sum.temperature += m.temperature;
      }
    const double n = static_cast<double>(2 * reach + 1);
    sum.at.x /= n;
    sum.at.y /= n;
    sum.temperature /= n;
    // Angles at the ends have but one side to lean on: the window keeps its width.
    const std::size_t low = i > smoothing ? i - smoothing : 0;
    const std::size_t high = std::min(i + smoothing, in.size() - 1);
    sum.angle_deg = 0.0;
    for (std::size_t k = low; k <= high; ++k) sum.angle_deg += in[k].angle_deg;
    sum.angle_deg /= static_cast<double>(high - low + 1);
    out.push_back(sum);
  }
  return out;
}

/// Places in channels that melt reached from both ends.
void add_channel_meetings(const Model& model, const FrontRecord& front,
                          const NodeField<double>& arrival, std::vector<WeldLine>& lines) {
  for (const LineElement& e : model.lines.span()) {
    const std::size_t a = index(e.from), b = index(e.to);
    if (arrival.vector()[a] < 0.0 || arrival.vector()[b] < 0.0) continue;
    if (front.origin[a] == static_cast<double>(b) || front.origin[b] == static_cast<double>(a))
      continue;
    const Point3 &pa = model.position.vector()[a], &pb = model.position.vector()[b];
    const double length = std::hypot(pb.x - pa.x, pb.y - pa.y);
    if (!(length > 0.0)) continue;
    const double half = 0.25 * (width(e.start) + width(e.end));
    WeldLine line;
    line.part = model.channels[static_cast<std::size_t>(e.channel)].name;
    line.in_channel = true;
    for (const double side : {-half, half}) {
      MeetingPoint m = meeting(model, front, arrival, a, b);
      m.at.x -= side * (pb.y - pa.y) / length;
      m.at.y += side * (pb.x - pa.x) / length;
      line.points.push_back(m);
    }
    measure(line);
    lines.push_back(std::move(line));
  }
}

}  // namespace

void measure(WeldLine& line) {
  line.angle_min_deg = line.points.front().angle_deg;
  line.temperature_min = line.points.front().temperature;
  line.time = line.points.front().time;
  double weighted = 0.0;
  line.length = 0.0;
  for (std::size_t i = 0; i < line.points.size(); ++i) {
    const MeetingPoint& m = line.points[i];
    line.angle_min_deg = std::min(line.angle_min_deg, m.angle_deg);
    line.temperature_min = std::min(line.temperature_min, m.temperature);
    line.time = std::min(line.time, m.time);
    if (i == 0) continue;
    const double piece = distance(m, line.points[i - 1]);
    line.length += piece;
    weighted += 0.5 * piece * (m.temperature + line.points[i - 1].temperature);
  }
  line.temperature = line.length > 0.0 ? weighted / line.length : line.points.front().temperature;
  line.kind = line.angle_min_deg <= weld_angle_deg ? MeetingKind::weld : MeetingKind::meld;
}

std::vector<WeldLine> weld_lines(const Model& model, const FrontRecord& front,
                                 const NodeField<double>& arrival) {
  const WeldTrace trace(model, front, arrival);
  const Crossings c = crossings(model, front, arrival, trace);
  std::vector<Chain> found = chains(c);
  join(c, found);
  std::vector<WeldLine> lines;
  for (const Chain& chain : found) {
    if (chain.size() < 2) continue;
    WeldLine line;
    const Region& region = model.regions[static_cast<std::size_t>(c.region[chain.front()])];
    line.part = region.name;
    line.visible = region.visible;
    double shortest = 0.0;
    std::vector<MeetingPoint> raw;
    for (const std::size_t k : chain) {
      raw.push_back(c.point[k]);
      shortest = std::max({shortest, least_elements * c.size[k], c.wall[k]});
    }
    line.points = smoothed(raw);
    measure(line);
    if (line.length >= shortest) lines.push_back(std::move(line));
  }
  add_channel_meetings(model, front, arrival, lines);
  std::stable_sort(lines.begin(), lines.end(),
                   [](const WeldLine& a, const WeldLine& b) { return a.length > b.length; });
  return lines;
}

}  // namespace firstshot
