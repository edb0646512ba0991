#include "mesh/segment_grid.hpp"

namespace firstshot {
namespace {

/// Cells along the longer side of the drawing at most: bounds memory at 16 MB.
constexpr double most_cells = 2048.0;

std::int32_t clamped_cell(double position, double cell, std::int32_t n) {
  return static_cast<std::int32_t>(
      std::clamp(std::floor(position / cell), 0.0, static_cast<double>(n - 1)));
}

}  // namespace

template <class Visit>
void SegmentGrid::visit_cells(Point a, Point b, double margin, const Visit& visit) const {
  if (a.y > b.y) std::swap(a, b);
  const std::int32_t j0 = clamped_cell(a.y - margin - low_.y, cell_, ny_);
  const std::int32_t j1 = clamped_cell(b.y + margin - low_.y, cell_, ny_);
  for (std::int32_t j = j0; j <= j1; ++j) {
    // The piece of the line that can come within the margin of this row of cells.
    double s0 = 0.0;
    double s1 = 1.0;
    if (b.y > a.y) {
      const double row = low_.y + j * cell_;
      s0 = j == 0 ? 0.0 : std::clamp((row - margin - a.y) / (b.y - a.y), 0.0, 1.0);
      s1 = j == ny_ - 1 ? 1.0 : std::clamp((row + cell_ + margin - a.y) / (b.y - a.y), 0.0, 1.0);
    }
    const double x0 = between(a, b, s0).x;
    const double x1 = between(a, b, s1).x;
    const std::int32_t i0 = clamped_cell(std::min(x0, x1) - margin - low_.x, cell_, nx_);
    const std::int32_t i1 = clamped_cell(std::max(x0, x1) + margin - low_.x, cell_, nx_);
    for (std::int32_t i = i0; i <= i1; ++i) visit(static_cast<std::size_t>(j) * nx_ + i);
  }
}

SegmentGrid::SegmentGrid(std::vector<std::array<Point, 2>> segments)
    : segments_(std::move(segments)) {
  if (segments_.empty()) {
    start_.assign(2, 0);
    return;
  }
  Box box;
  double length = 0.0;
  for (const auto& [a, b] : segments_) {
    box.add(a);
    box.add(b);
    length += distance(a, b);
  }
  low_ = box.low;
  const double w = box.high.x - box.low.x;
  const double h = box.high.y - box.low.y;
  cell_ =
      std::max({length / static_cast<double>(segments_.size()), std::max(w, h) / most_cells, 1e-9});
  nx_ = static_cast<std::int32_t>(w / cell_) + 1;
  ny_ = static_cast<std::int32_t>(h / cell_) + 1;
  start_.assign(static_cast<std::size_t>(nx_) * ny_ + 1, 0);
  for (const auto& [a, b] : segments_) {
    visit_cells(a, b, 0.0, [&](std::size_t cell) { ++start_[cell + 1]; });
  }
  for (std::size_t c = 1; c < start_.size(); ++c) start_[c] += start_[c - 1];
  list_.resize(start_.back());
  std::vector<std::int32_t> fill(start_.begin(), start_.end() - 1);
  for (std::size_t s = 0; s < segments_.size(); ++s) {
    visit_cells(segments_[s][0], segments_[s][1], 0.0,
                [&](std::size_t cell) { list_[fill[cell]++] = static_cast<std::int32_t>(s); });
  }
}

void SegmentGrid::near(Point a, Point b, double margin, std::vector<int>& found) const {
  found.clear();
  // Sides stand only in the cells they touch, so the line's margin is widened by rounding.
  visit_cells(a, b, margin + 1e-9 * cell_, [&](std::size_t cell) {
    found.insert(found.end(), list_.begin() + start_[cell], list_.begin() + start_[cell + 1]);
  });
  std::sort(found.begin(), found.end());
  found.erase(std::unique(found.begin(), found.end()), found.end());
}

}  // namespace firstshot
