#include "mesh/size_field.hpp"

namespace firstshot {
namespace {

/// A leaf with this many features or fewer is not worth dividing.
constexpr std::size_t few_features = 4;
/// A square across which the size changes by less than this share is one leaf with one value.
constexpr double even_share = 0.05;
constexpr int deepest = 20;

}  // namespace

SizeField::SizeField(const std::vector<SizeFeature>& features, double open_size, double grading,
                     const Box& box)
    : open_size_(open_size), grading_(grading) {
  const double side = std::max(box.high.x - box.low.x, box.high.y - box.low.y);
  root_ = {between(box.low, box.high, 0.5), std::max(side, open_size) * 0.51, 0};
  squares_.emplace_back();
  build(0, root_, features);
}

SizeField::Place SizeField::quarter(const Place& place, int k) {
  const double h = place.half / 2.0;
  const Point shift = {k % 2 == 0 ? -h : h, k / 2 == 0 ? -h : h};
  return {place.centre + shift, h, place.depth + 1};
}

void SizeField::build(std::int32_t square, const Place& place, std::vector<SizeFeature> features) {
  const double radius = place.half * std::sqrt(2.0);
  double at_centre = open_size_;
  double highest = open_size_;  // no feature whose lower bound is above this can matter here
  std::vector<double> values(features.size());
  for (std::size_t i = 0; i < features.size(); ++i) {
    const double d = foot_on(features[i].a, features[i].b, place.centre).distance;
    values[i] = features[i].size + grading_ * std::max(0.0, d - radius);
    at_centre = std::min(at_centre, features[i].size + grading_ * d);
    highest = std::min(highest, features[i].size + grading_ * (d + radius));
  }
  std::size_t kept = 0;
  for (std::size_t i = 0; i < features.size(); ++i) {
    if (values[i] < highest) features[kept++] = features[i];
  }
  features.resize(kept);
  squares_[square].limit = open_size_;
  if (features.size() > few_features) {
    if (place.depth < deepest && grading_ * radius > even_share * at_centre) {
      const auto child = static_cast<std::int32_t>(squares_.size());
      squares_[square].child = child;
      squares_.resize(squares_.size() + 4);
      for (int k = 0; k < 4; ++k) build(child + k, quarter(place, k), features);
      return;
    }
    squares_[square].limit = at_centre;
    features.clear();
  }
  squares_[square].first = static_cast<std::int32_t>(listed_.size());
  listed_.insert(listed_.end(), features.begin(), features.end());
  squares_[square].end = static_cast<std::int32_t>(listed_.size());
}

double SizeField::value(const Square& leaf, Point p) const {
  double size = leaf.limit;
  for (std::int32_t i = leaf.first; i < leaf.end; ++i) {
    const SizeFeature& f = listed_[i];
    size = std::min(size, f.size + grading_ * foot_on(f.a, f.b, p).distance);
  }
  return size;
}

double SizeField::at(Point p) const {
  std::int32_t square = 0;
  Point centre = root_.centre;
  double h = root_.half;
  while (squares_[square].child >= 0) {
    const bool right = p.x >= centre.x;
    const bool upper = p.y >= centre.y;
    h /= 2.0;
    centre = centre + Point{right ? h : -h, upper ? h : -h};
    square = squares_[square].child + (right ? 1 : 0) + (upper ? 2 : 0);
  }
  return value(squares_[square], p);
}

double SizeField::sum_vertices(std::int32_t square, const Place& place) const {
  if (squares_[square].child >= 0) {
    double sum = 0.0;
    for (int k = 0; k < 4; ++k) {
      sum += sum_vertices(squares_[square].child + k, quarter(place, k));
    }
    return sum;
  }
  // An equilateral mesh of edge e has one vertex per area √3/2 · e².
  const double cell_per_vertex = std::sqrt(3.0) / 2.0;
  const double size = value(squares_[square], place.centre);
  return 4.0 * place.half * place.half / (cell_per_vertex * size * size);
}

double SizeField::expected_vertices() const { return sum_vertices(0, root_); }

}  // namespace firstshot
