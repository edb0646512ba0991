#include "mesh/nearest_node.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace firstshot {
namespace {

constexpr double entries_per_cell = 4.0;

double squared(const Point3& a, const Point3& b) {
  return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y) + (a.z - b.z) * (a.z - b.z);
}

}  // namespace

NearestNode::NearestNode(const Model& model) {
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    const VertexId v = make_id<VertexId>(i);
    const Point& p = model.mesh.points[v];
    const double z = model.lower.empty() ? 0.0 : (model.lower[v] + model.upper[v]) / 2.0;
    add({p.x, p.y, z}, model.node_of_vertex[v]);
  }
  for (const LineElement& line : model.lines.span()) {
    add(model.position[line.from], line.from);
    add(model.position[line.to], line.to);
  }
  sort_into_cells();
}

void NearestNode::sort_into_cells() {
  double x1 = -std::numeric_limits<double>::infinity(), y1 = x1;
  x0_ = y0_ = -x1;
  for (const Entry& e : entries_) {
    x0_ = std::min(x0_, e.at.x), y0_ = std::min(y0_, e.at.y);
    x1 = std::max(x1, e.at.x), y1 = std::max(y1, e.at.y);
  }
  const double width = std::max(x1 - x0_, 1e-9), height = std::max(y1 - y0_, 1e-9);  // [m]
  side_ = std::sqrt(width * height * entries_per_cell / static_cast<double>(entries_.size()));
  side_ = std::max({side_, width * 1e-4, height * 1e-4});  // no strip of a million cells
  columns_ = static_cast<std::int64_t>(width / side_) + 1;
  rows_ = static_cast<std::int64_t>(height / side_) + 1;
  const auto cell = [&](const Entry& e) {
    return static_cast<std::int64_t>((e.at.y - y0_) / side_) * columns_ +
           static_cast<std::int64_t>((e.at.x - x0_) / side_);
  };
  std::stable_sort(entries_.begin(), entries_.end(),
                   [&](const Entry& a, const Entry& b) { return cell(a) < cell(b); });
  first_.assign(static_cast<std::size_t>(columns_ * rows_) + 1, 0);
  for (const Entry& e : entries_) ++first_[static_cast<std::size_t>(cell(e)) + 1];
  for (std::size_t i = 1; i < first_.size(); ++i) first_[i] += first_[i - 1];
}

void NearestNode::look(std::int64_t column, std::int64_t row, const Point3& at, double& least,
                       NodeId& best) const {
  if (column < 0 || row < 0 || column >= columns_ || row >= rows_) return;
  const auto cell = static_cast<std::size_t>(row * columns_ + column);
  for (std::size_t i = first_[cell]; i < first_[cell + 1]; ++i) {
    const double d = squared(entries_[i].at, at);
    if (d < least) least = d, best = entries_[i].node;
  }
}

NodeId NearestNode::of(const Point3& at) const {
  const auto clamped = [&](double value, std::int64_t n) {
    return std::clamp(static_cast<std::int64_t>(std::floor(value / side_)), std::int64_t{0}, n - 1);
  };
  const std::int64_t column = clamped(at.x - x0_, columns_), row = clamped(at.y - y0_, rows_);
  double least = std::numeric_limits<double>::infinity();
  NodeId best = entries_.front().node;
  // Rings of cells around that of the place, until nothing nearer can lie in the next.
  for (std::int64_t ring = 0; ring <= std::max(columns_, rows_); ++ring) {
    for (std::int64_t r = row - ring; r <= row + ring; ++r) {
      const bool whole_row = r == row - ring || r == row + ring;
      const std::int64_t stride = whole_row || ring == 0 ? 1 : 2 * ring;
      for (std::int64_t c = column - ring; c <= column + ring; c += stride)
        look(c, r, at, least, best);
    }
    const double reach = static_cast<double>(ring) * side_;
    if (least <= reach * reach) break;
  }
  return best;
}

}  // namespace firstshot
