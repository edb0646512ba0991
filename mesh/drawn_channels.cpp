#include "mesh/drawn_channels.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/nested_outlines.hpp"
#include "mesh/part_names.hpp"

namespace firstshot {
namespace {

constexpr double kRounding = 1e-6;  // ends this near to a line lie on it [m]

// Points of an open path; arcs as sides of equal angle, few but enough for the length of a channel.
std::vector<Point> points_along(const DrawnPath& path) {
  constexpr double kLargestTurn = std::numbers::pi / 18.0;  // of one side: 0.13 % of its length
  std::vector<Point> points;
  const std::size_t n = path.corners.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Corner& corner = path.corners[i];
    points.push_back(corner.at);
    if (corner.bulge == 0.0 || (i + 1 == n && !path.closed)) continue;
    const Point to = path.corners[(i + 1) % n].at;
    const double angle = 4.0 * std::atan(corner.bulge);
    const Point centre =
        between(corner.at, to, 0.5) +
        ((1.0 - corner.bulge * corner.bulge) / (4.0 * corner.bulge)) * turned_left(to - corner.at);
    const double radius = distance(centre, to);
    const int by_length = static_cast<int>(radius * std::abs(angle) / (2.0 * joint_tolerance));
    const int sides = std::min(by_length, static_cast<int>(std::abs(angle) / kLargestTurn) + 1);
    const Point arm = corner.at - centre;
    for (int k = 1; k < sides; ++k) {
      const double turn = angle * k / sides;
      points.push_back(centre + Point{arm.x * std::cos(turn) - arm.y * std::sin(turn),
                                      arm.x * std::sin(turn) + arm.y * std::cos(turn)});
    }
  }
  if (path.closed) points.push_back(points.front());
  return points;
}

Foot nearest_on(std::span<const Point> line, Point p) {
  Foot nearest;
  nearest.distance = 1e300;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const Foot foot = foot_on(line[i], line[i + 1], p);
    if (foot.distance < nearest.distance) nearest = foot;
  }
  return nearest;
}

// Moves an end that stops short of another runner onto it.
void snap_ends(std::vector<RunnerLine>& runners, double gap) {
  for (std::size_t r = 0; r < runners.size(); ++r) {
    for (Point* end : {&runners[r].points.front(), &runners[r].points.back()}) {
      Foot nearest;
      nearest.distance = gap;
      for (std::size_t other = 0; other < runners.size(); ++other) {
        if (other == r) continue;
        const Foot foot = nearest_on(runners[other].points, *end);
        if (foot.distance < nearest.distance) nearest = foot;
      }
      if (nearest.distance > kRounding && nearest.distance < gap) *end = nearest.at;
    }
  }
}

bool tapered(const RunnerLine& runner) { return !(runner.start == runner.end); }

// Turns runners so that they start where they are fed: at the injection point, or on a runner that
// is fed already.
class Feeding {
 public:
  Feeding(std::vector<RunnerLine>& runners, Point injection, double gap)
      : runners_(runners), fed_(runners.size(), false), gap_(gap) {
    reach(injection);
  }

  void run() {
    while (!queue_.empty()) {
      const std::size_t r = queue_.back();
      queue_.pop_back();
      feed_from(r);
    }
    for (std::size_t r = 0; r < runners_.size(); ++r) {
      if (fed_[r] || !tapered(runners_[r])) continue;
      throw GeometryError(entry_name(runners_[r]) +
                              " tapers, but neither of its ends lies at the injection point or on "
                              "another runner, so its wide end is not known",
                          runners_[r].points.front().x, runners_[r].points.front().y);
    }
  }

 private:
  void mark(std::size_t r) {
    fed_[r] = true;
    queue_.push_back(r);
  }
  void turn(std::size_t r) { std::reverse(runners_[r].points.begin(), runners_[r].points.end()); }
  bool near(Point a, Point b) const { return distance(a, b) <= gap_; }

  void reach(Point injection) {
    for (std::size_t r = 0; r < runners_.size(); ++r) {
      const auto& points = runners_[r].points;
      if (near(points.back(), injection) && !near(points.front(), injection)) turn(r);
      if (nearest_on(points, injection).distance <= gap_) mark(r);
    }
  }

  void feed_from(std::size_t source) {
    const std::vector<Point> line = runners_[source].points;
    for (std::size_t r = 0; r < runners_.size(); ++r) {
      if (fed_[r]) continue;
      const auto& points = runners_[r].points;
      const bool at_start = nearest_on(line, points.front()).distance <= gap_;
      const bool at_end = nearest_on(line, points.back()).distance <= gap_;
      const bool inside = nearest_on(points, line.back()).distance <= gap_;
      if (!at_start && at_end) turn(r);
      if (at_start || at_end || inside) mark(r);
    }
  }

  std::vector<RunnerLine>& runners_;
  std::vector<bool> fed_;
  std::vector<std::size_t> queue_;
  double gap_;
};

// Rims of all areas.
class Rims {
 public:
  explicit Rims(const std::vector<Area>& areas) {
    for (const Area& area : areas) {
      std::vector<Point> rim = closed_line(area.outline, drawing_arc_rule).points;
      rim.push_back(rim.front());
      rims_.push_back(std::move(rim));
    }
  }
  /// Area whose rim is nearest, with the place on it.
  std::pair<std::size_t, Foot> nearest(Point p) const {
    std::pair<std::size_t, Foot> best;
    best.second.distance = 1e300;
    for (std::size_t i = 0; i < rims_.size(); ++i) {
      const Foot foot = nearest_on(rims_[i], p);
      if (foot.distance < best.second.distance) best = {i, foot};
    }
    return best;
  }

 private:
  std::vector<std::vector<Point>> rims_;
};

Foot nearest_runner(const std::vector<RunnerLine>& runners, Point p) {
  Foot best;
  best.distance = 1e300;
  for (const RunnerLine& runner : runners) {
    const Foot foot = nearest_on(runner.points, p);
    if (foot.distance < best.distance) best = foot;
  }
  return best;
}

struct FoundGate {
  GateLine gate;
  std::size_t area = 0;
};

FoundGate gate_of(const DrawnPath& path, const GateLayer& layer, const Rims& rims,
                  const std::vector<RunnerLine>& runners, double gap) {
  Point from = path.corners.front().at;
  Point to = path.corners.back().at;
  if (path.corners.size() != 2 || path.closed || path.corners[0].bulge != 0.0) {
    throw GeometryError(path.origin + ": a gate must be one straight line from a runner to a part",
                        from.x, from.y);
  }
  // The end at the part is the one nearer to a rim than to a runner.
  const auto lead = [&](Point p) {
    return nearest_runner(runners, p).distance - rims.nearest(p).second.distance;
  };
  if (lead(from) > lead(to)) std::swap(from, to);
  const auto [area, foot] = rims.nearest(to);
  if (foot.distance > std::max(gap, joint_tolerance)) {
    throw GeometryError(path.origin + ": this gate ends " + in_mm(foot.distance) +
                            " from the rim of the nearest part; allowed: " + in_mm(gap) +
                            " (geometry.gap)",
                        to.x, to.y);
  }
  // What the mesher snaps itself stays as drawn.
  if (foot.distance > joint_tolerance / 2.0) to = foot.at;
  const Foot feed = nearest_runner(runners, from);
  if (feed.distance > joint_tolerance / 2.0 && feed.distance <= gap) from = feed.at;
  return {{"", from, to, layer.width, layer.depth, path.origin}, area};
}

// All lines of runners as drawn, to see where only two of them meet.
class DrawnLines {
 public:
  DrawnLines(const std::vector<LayerPaths>& layers, double gap) : gap_(gap) {
    for (const LayerPaths& layer : layers) {
      for (const DrawnPath& path : layer.paths) {
        lines_.push_back({points_along(path), {}});
        for (const Point p : lines_.back().points) lines_.back().box.add(p);
      }
    }
  }
  std::size_t size() const { return lines_.size(); }
  bool two_meet_at(Point p) const {
    int number = 0;
    for (const Line& line : lines_) {
      if (line.box.holds(p, gap_) && nearest_on(line.points, p).distance <= gap_) ++number;
    }
    return number == 2;
  }

 private:
  struct Line {
    std::vector<Point> points;
    Box box;
  };
  std::vector<Line> lines_;
  double gap_;
};

void check_number(std::size_t number, Point at) {
  constexpr std::size_t kMost =
      5000;  // lines of runners, or of gates; a large frame has some hundred
  if (number > kMost) throw GeometryError("more than 2000 lines of runners or gates", at.x, at.y);
}

}  // namespace

std::vector<RunnerLine> runners_of(const std::vector<LayerPaths>& layers, Point injection,
                                   double gap, JoinReport& report) {
  const DrawnLines drawn(layers, gap);
  check_number(drawn.size(), injection);
  const auto may_join = [&](Point p) {
    return distance(p, injection) > gap && drawn.two_meet_at(p);
  };
  const JoinRule rule{gap, may_join, true};
  std::vector<RunnerLine> found;
  for (const LayerPaths& layer : layers) {
    const auto& section = std::get<RunnerLayer>(layer.rule->meaning);
    JoinReport joined;
    for (const DrawnPath& path : join_paths(layer.paths, rule, joined)) {
      found.push_back(
          {"of layer " + path.layer, points_along(path), section.start, section.end, path.origin});
    }
    report.add(joined);
  }
  snap_ends(found, gap);
  Feeding(found, injection, std::max(gap, joint_tolerance)).run();
  std::vector<Point> places;
  places.reserve(found.size());
  for (const RunnerLine& runner : found)
    places.push_back(between(runner.points.front(), runner.points.back(), 0.5));
  std::vector<RunnerLine> runners;
  for (const std::size_t i : reading_order(places)) {
    runners.push_back(std::move(found[i]));
    runners.back().name = "runner-";
    runners.back().name += std::to_string(runners.size());
  }
  return runners;
}

std::vector<GateLine> gates_of(const std::vector<LayerPaths>& layers,
                               const std::vector<Area>& areas,
                               const std::vector<RunnerLine>& runners, double gap) {
  const Rims rims(areas);
  std::vector<FoundGate> found;
  std::vector<Point> places;
  std::map<std::size_t, int> of_area;
  for (const LayerPaths& layer : layers) {
    for (const DrawnPath& path : layer.paths) {
      check_number(found.size(), path.corners.front().at);
      found.push_back(gate_of(path, std::get<GateLayer>(layer.rule->meaning), rims, runners, gap));
      places.push_back(found.back().gate.to);
      ++of_area[found.back().area];
    }
  }
  std::vector<GateLine> gates;
  std::map<std::size_t, int> named;
  for (const std::size_t i : reading_order(places)) {
    gates.push_back(std::move(found[i].gate));
    const std::size_t area = found[i].area;
    std::string& name = gates.back().name;
    name = "g-";
    name += areas[area].name;
    if (of_area[area] < 2) continue;
    name += "-";
    name += std::to_string(++named[area]);
  }
  return gates;
}

}  // namespace firstshot
