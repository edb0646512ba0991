#include "solver/assess/weld_trace.hpp"

#include <algorithm>
#include <cmath>

namespace firstshot {
namespace {

constexpr double pi = 3.14159265358979323846;
constexpr double longest_way = 12.0;           // in elements
constexpr double direction_way = 4.0;          // in elements
constexpr double mesh_noise = 1.0;             // in elements
constexpr double opening = 30.0 / 180.0 * pi;  // [rad]
constexpr std::size_t most_hops = 200;         // a mesh may be graded along the way

double distance(const Point3& a, const Point3& b) {
  return std::sqrt((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y) +
                   (a.z - b.z) * (a.z - b.z));
}

std::vector<std::pair<std::size_t, std::size_t>> node_pairs(const Model& model) {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (const MeshEdge& e : mesh_edges(model.mesh)) {
    const std::size_t a = index(model.node_of_vertex[e.a]), b = index(model.node_of_vertex[e.b]);
    if (a != b) pairs.emplace_back(std::min(a, b), std::max(a, b));
  }
  std::sort(pairs.begin(), pairs.end());
  pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
  return pairs;
}

}  // namespace

WeldTrace::WeldTrace(const Model& model, const FrontRecord& front, const NodeField<double>& arrival)
    : model_(model),
      front_(front),
      arrival_(arrival),
      pairs_(node_pairs(model)),
      size_(model.n_nodes(), 0.0) {
  std::vector<int> count(size_.size(), 0);
  for (const auto& [a, b] : pairs_) {
    const double d = distance(model.position.vector()[a], model.position.vector()[b]);
    for (const std::size_t node : {a, b}) {
      size_[node] += d;
      ++count[node];
    }
  }
  for (std::size_t i = 0; i < size_.size(); ++i)
    if (count[i] > 0) size_[i] /= count[i];
}

WeldTrace::Way WeldTrace::way(std::size_t node, double length) const {
  Way w{{node}, {0.0}};
  while (w.length.back() < length && w.node.size() < most_hops) {
    const double origin = front_.origin[w.node.back()];
    if (origin < 0.0) break;
    const auto next = static_cast<std::size_t>(origin);
    w.length.push_back(w.length.back() + distance(model_.position.vector()[w.node.back()],
                                                  model_.position.vector()[next]));
    w.node.push_back(next);
  }
  return w;
}

Point3 WeldTrace::at(const Way& way, double length) const {
  const auto above = std::upper_bound(way.length.begin(), way.length.end(), length);
  const auto& position = model_.position.vector();
  if (above == way.length.end()) return position[way.node.back()];
  const auto k = static_cast<std::size_t>(above - way.length.begin());
  const double s = (length - way.length[k - 1]) / (way.length[k] - way.length[k - 1]);
  const Point3 &p = position[way.node[k - 1]], &q = position[way.node[k]];
  return {p.x + s * (q.x - p.x), p.y + s * (q.y - p.y), p.z + s * (q.z - p.z)};
}

Point WeldTrace::direction(const Way& way, double length) const {
  Point sum;
  for (std::size_t k = 0; k < way.node.size() && way.length[k] <= length; ++k) {
    sum.x += front_.way_x[way.node[k]];
    sum.y += front_.way_y[way.node[k]];
  }
  const double norm = std::hypot(sum.x, sum.y);
  return norm > 0.0 ? Point{sum.x / norm, sum.y / norm} : Point{};
}

bool WeldTrace::parted(const Way& a, const Way& b, double size) const {
  const double apart = distance(at(a, 0.0), at(b, 0.0)) + mesh_noise * size;
  for (double s = 2.0; s <= longest_way; s += 1.0) {
    const double length = s * size;
    if (distance(at(a, length), at(b, length)) > apart + 2.0 * length * std::sin(0.5 * opening))
      return true;
  }
  return false;
}

bool WeldTrace::met(std::size_t a, std::size_t b) const {
  if (arrival_.vector()[a] < 0.0 || arrival_.vector()[b] < 0.0) return false;
  const double oa = front_.origin[a], ob = front_.origin[b];
  if (oa < 0.0 || ob < 0.0 || oa == ob) return false;
  if (oa == static_cast<double>(b) || ob == static_cast<double>(a)) return false;
  const double size = 0.5 * (size_[a] + size_[b]);
  const Way wa = way(a, longest_way * size), wb = way(b, longest_way * size);
  if (!parted(wa, wb, size)) return false;
  const Point da = direction(wa, direction_way * size), db = direction(wb, direction_way * size);
  const Point3 &pa = model_.position.vector()[a], &pb = model_.position.vector()[b];
  const bool converge = (da.x - db.x) * (pb.x - pa.x) + (da.y - db.y) * (pb.y - pa.y) > 0.0;
  return converge && da.x * db.x + da.y * db.y < std::cos(least_turn);
}

double WeldTrace::turn(std::size_t a, std::size_t b) const {
  const double length = direction_way * 0.5 * (size_[a] + size_[b]);
  const Point da = direction(way(a, length), length), db = direction(way(b, length), length);
  return std::acos(std::clamp(da.x * db.x + da.y * db.y, -1.0, 1.0));
}

}  // namespace firstshot
