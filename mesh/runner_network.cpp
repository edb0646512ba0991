#include "mesh/runner_network.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/joint_overlap.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Elements of a runner are not made shorter than this share of its width only to reach the wanted
/// number: a leg shorter than the runner is wide is hardly a leg.
constexpr double shortest_over_width = 0.25;
/// A leg keeps at least this share of its length, however wide the channels at its ends are.
constexpr double least_length_share = 0.2;

/// Point where the inner parts of two legs cross, if they do.
bool legs_cross(Point a, Point b, Point c, Point d, Point& at) {
  const double c_side = cross(b - a, c - a);
  const double d_side = cross(b - a, d - a);
  if ((c_side > 0.0) == (d_side > 0.0) || c_side == d_side) return false;
  if ((cross(d - c, a - c) > 0.0) == (cross(d - c, b - c) > 0.0)) return false;
  at = between(c, d, c_side / (c_side - d_side));
  return true;
}

class NetworkBuilder {
 public:
  NetworkBuilder(const Layout& layout, const Joints& joints, const MeshOptions& options)
      : layout_(layout), joints_(joints), options_(options) {}

  RunnerNetwork run() {
    find_runner_joints();
    for (std::size_t r = 0; r < layout_.runners.size(); ++r) add_runner(layout_.runners[r]);
    add_legs();
    for (std::size_t g = 0; g < layout_.gates.size(); ++g) add_gate(static_cast<int>(g));
    add_inlet();
    return std::move(network_);
  }

 private:
  /// Point in the parting plane where channels meet; points within the tolerance are the same.
  int joint_at(Point p) {
    int nearest = -1;
    double nearest_distance = joint_tolerance;
    for (std::size_t i = 0; i < plane_joints_.size(); ++i) {
      const double d = distance(plane_joints_[i], p);
      if (d > nearest_distance || (nearest >= 0 && d == nearest_distance)) continue;
      nearest = static_cast<int>(i);
      nearest_distance = d;
    }
    if (nearest >= 0) return nearest;
    plane_joints_.push_back(p);
    network_.points.push_back({{p.x, p.y, 0.0}, -1});
    return static_cast<int>(plane_joints_.size()) - 1;
  }

  void find_runner_joints() {
    struct Stretch {
      Point a, b;
    };
    std::vector<Stretch> legs;
    for (const RunnerLine& runner : layout_.runners) {
      for (const Point p : runner.points) joint_at(p);
      for (std::size_t i = 0; i + 1 < runner.points.size(); ++i) {
        legs.push_back({runner.points[i], runner.points[i + 1]});
      }
    }
    for (std::size_t i = 0; i < legs.size(); ++i) {
      for (std::size_t j = i + 1; j < legs.size(); ++j) {
        Point at;
        if (legs_cross(legs[i].a, legs[i].b, legs[j].a, legs[j].b, at)) joint_at(at);
      }
    }
    for (const GateEnd& start : joints_.gate_from) {
      if (start.mouth < 0) joint_at(start.at);
    }
    if (joints_.inlet.on_channel) joint_at(joints_.inlet.at);
  }

  /// Joints on the leg a → b in the order of the way, with their share of the leg.
  std::vector<std::pair<double, int>> joints_on(Point a, Point b) {
    const int first = joint_at(a);
    const int last = joint_at(b);
    std::vector<std::pair<double, int>> on_leg = {{0.0, first}, {1.0, last}};
    for (std::size_t i = 0; i < plane_joints_.size(); ++i) {
      const int joint = static_cast<int>(i);
      const Foot foot = foot_on(a, b, plane_joints_[i]);
      if (joint == first || joint == last || foot.distance > joint_tolerance) continue;
      on_leg.emplace_back(foot.share, joint);
    }
    std::sort(on_leg.begin(), on_leg.end());
    return on_leg;
  }

  void add_runner(const RunnerLine& runner) {
    const int channel = add_channel({runner.name, Role::runner, -1});
    double whole = 0.0;
    for (std::size_t i = 0; i + 1 < runner.points.size(); ++i) {
      whole += distance(runner.points[i], runner.points[i + 1]);
    }
    double before = 0.0;
    for (std::size_t i = 0; i + 1 < runner.points.size(); ++i) {
      const Point a = runner.points[i];
      const Point b = runner.points[i + 1];
      const double leg = distance(a, b);
      const auto on_leg = joints_on(a, b);
      for (std::size_t k = 0; k + 1 < on_leg.size(); ++k) {
        refuse_doubled(runner, on_leg[k].second, on_leg[k + 1].second);
        const auto section_at = [&](double share) {
          return mix(runner.start, runner.end, (before + share * leg) / whole);
        };
        legs_.push_back(
            {channel,
             on_leg[k].second,
             on_leg[k + 1].second,
             {section_at(on_leg[k].first), section_at(on_leg[k + 1].first)},
             elements_on(leg * (on_leg[k + 1].first - on_leg[k].first), width(runner.start))});
      }
      before += leg;
    }
  }

  /// Legs of runners, without what lies inside other runners at their ends.
  void add_legs() {
    std::vector<LegEnd> ends;
    for (const Leg& leg : legs_)
      for (const bool at_start : {true, false}) {
        const Point a = plane_joints_[at_start ? leg.from : leg.to];
        const Point b = plane_joints_[at_start ? leg.to : leg.from];
        const Section& section = leg.ends[at_start ? 0 : 1];
        ends.push_back({at_start ? leg.from : leg.to, (1.0 / distance(a, b)) * (b - a),
                        area(section) / depth(section)});
      }
    const std::vector<double> inside = joint_overlaps(ends);
    for (std::size_t i = 0; i < legs_.size(); ++i)
      add_leg(legs_[i], {inside[2 * i], inside[2 * i + 1]});
  }

  void refuse_doubled(const RunnerLine& runner, int from, int to) {
    const auto [found, is_new] =
        leg_owner_.try_emplace({std::min(from, to), std::max(from, to)}, &runner);
    if (is_new) return;
    const Point at = between(plane_joints_[from], plane_joints_[to], 0.5);
    throw GeometryError(entry_name(runner) + " lies on " +
                            (found->second == &runner ? "itself" : entry_name(*found->second)) +
                            "; each piece of a runner may be drawn only once",
                        at.x, at.y);
  }

  int elements_on(double length, double section_width) const {
    const int by_width = static_cast<int>(length / (shortest_over_width * section_width));
    const int wanted = std::clamp(by_width, 1, options_.min_elements_per_line);
    return std::max(wanted, elements_by_length(length));
  }

  int elements_by_length(double length) const {
    // The small share keeps a count that is whole but for rounding from growing by one.
    return static_cast<int>(std::ceil(length / options_.line_element_size * (1.0 - 1e-9)));
  }

  void add_gate(int g) {
    const GateLine& gate = layout_.gates[g];
    const GateEnd& from = joints_.gate_from[g];
    const GateEnd& to = joints_.gate_to[g];
    const int channel = add_channel({gate.name, Role::gate, joints_.mouths[to.mouth].area});
    const int start = from.mouth < 0 ? joint_at(from.at) : mouth_point(from.mouth);
    const Section section = RectangleSection{gate.width, gate.depth};
    const double length = distance(gate.from, gate.to);
    add_leg({channel,
             start,
             mouth_point(to.mouth),
             {section, section},
             std::max(options_.min_elements_per_line, elements_by_length(length))});
  }

  void add_inlet() {
    const Inlet& inlet = joints_.inlet;
    int foot = -1;
    if (inlet.on_channel) {
      foot = joint_at(inlet.at);
      // On a runner that crosses an area, the mouth below belongs to the same place.
      network_.points[foot].mouth = inlet.mouth;
    } else if (inlet.mouth >= 0) {
      foot = mouth_point(inlet.mouth);
    }
    network_.inlet = foot;
    if (!layout_.sprue) return;
    const Sprue& sprue = *layout_.sprue;
    const int channel = add_channel({"sprue", Role::sprue, -1});
    network_.points.push_back({{sprue.at.x, sprue.at.y, sprue.length}, -1});
    const int nozzle = static_cast<int>(network_.points.size()) - 1;
    add_leg({channel,
             nozzle,
             foot,
             {RoundSection{sprue.nozzle_diameter}, RoundSection{sprue.foot_diameter}},
             std::max(options_.min_elements_per_line, elements_by_length(sprue.length))});
    network_.inlet = nozzle;
  }

  int mouth_point(int mouth) {
    const Point at = joints_.mouths[mouth].centre;
    network_.points.push_back({{at.x, at.y, 0.0}, mouth});
    return static_cast<int>(network_.points.size()) - 1;
  }

  int add_channel(Channel channel) {
    network_.channels.push_back(std::move(channel));
    return static_cast<int>(network_.channels.size()) - 1;
  }

  /// Straight way between two network points, to be divided into n elements.
  struct Leg {
    int channel, from, to;
    std::array<Section, 2> ends;
    int n;
  };

  /// @param inside length of each end inside another channel [m]: the points stay where they are,
  /// the elements carry melt and resistance of what is left.
  void add_leg(const Leg& leg, std::array<double, 2> inside = {0.0, 0.0}) {
    const Point3 a = network_.points[leg.from].at;
    const Point3 b = network_.points[leg.to].at;
    const double drawn = std::hypot(b.x - a.x, b.y - a.y, b.z - a.z);
    const double most = (1.0 - least_length_share) * drawn, sum = inside[0] + inside[1];
    if (sum > most)
      for (double& end : inside) end *= most / sum;
    const double length = drawn - inside[0] - inside[1];
    const auto section_at = [&](double share) {
      return mix(leg.ends[0], leg.ends[1], (inside[0] + share * length) / drawn);
    };
    int previous = leg.from;
    for (int k = 1; k <= leg.n; ++k) {
      const double s = static_cast<double>(k) / leg.n;
      int point = leg.to;
      if (k < leg.n) {
        network_.points.push_back(
            {{a.x + s * (b.x - a.x), a.y + s * (b.y - a.y), a.z + s * (b.z - a.z)}, -1});
        point = static_cast<int>(network_.points.size()) - 1;
      }
      network_.elements.push_back({previous, point, length / leg.n,
                                   section_at(static_cast<double>(k - 1) / leg.n), section_at(s),
                                   leg.channel});
      previous = point;
    }
  }

  const Layout& layout_;
  const Joints& joints_;
  const MeshOptions& options_;
  RunnerNetwork network_;
  std::vector<Leg> legs_;            ///< of the runners
  std::vector<Point> plane_joints_;  ///< all joints, at the same index in network_.points
  std::map<std::pair<int, int>, const RunnerLine*> leg_owner_;
};

}  // namespace

RunnerNetwork build_network(const Layout& layout, const Joints& joints,
                            const MeshOptions& options) {
  return NetworkBuilder(layout, joints, options).run();
}

}  // namespace firstshot
