#include "mesh/solid/weld.hpp"

#include <array>
#include <cmath>
#include <unordered_map>

#include "mesh/solid/space.hpp"

namespace firstshot {
namespace {

/// Sorts points into cells of twice the weld distance and joins each with the first point within
/// that distance.
class Welder {
 public:
  Welder(const std::vector<Point3>& points, double distance, const Point3& origin)
      : points_(points), distance_(distance), origin_(origin) {
    first_.reserve(points.size());
    next_.reserve(points.size() / 4);
  }

  std::vector<std::int32_t> run(std::vector<Point3>& kept) {
    std::vector<std::int32_t> number(points_.size());
    for (std::size_t i = 0; i < points_.size(); ++i) {
      const Point3& p = points_[i];
      std::int32_t found = nearest(p, kept);
      if (found < 0) {
        found = static_cast<std::int32_t>(kept.size());
        kept.push_back(p);
        const auto [entry, fresh] = first_.try_emplace(key(cell(p)), found);
        next_.push_back(fresh ? -1 : entry->second);
        entry->second = found;
      }
      number[i] = found;
    }
    return number;
  }

 private:
  using Cell = std::array<std::int64_t, 3>;
  double size() const { return 2.0 * distance_; }
  Cell cell(const Point3& p) const {
    return {static_cast<std::int64_t>(std::floor((p.x - origin_.x) / size())),
            static_cast<std::int64_t>(std::floor((p.y - origin_.y) / size())),
            static_cast<std::int64_t>(std::floor((p.z - origin_.z) / size()))};
  }
  /// Different cells may share a key: the distance decides.
  static std::uint64_t key(const Cell& c) {
    std::uint64_t k = 0;
    for (const std::int64_t x : c) {
      k = (k ^ static_cast<std::uint64_t>(x)) * 0x9E3779B97F4A7C15ULL;
      k ^= k >> 29U;
    }
    return k;
  }
  std::int32_t nearest(const Point3& p, const std::vector<Point3>& kept) const {
    // A cell is twice the distance wide, so only neighbours on the nearer side can hold a match.
    const Cell low = cell({p.x - distance_, p.y - distance_, p.z - distance_});
    const Cell high = cell({p.x + distance_, p.y + distance_, p.z + distance_});
    for (std::int64_t x = low[0]; x <= high[0]; ++x)
      for (std::int64_t y = low[1]; y <= high[1]; ++y)
        for (std::int64_t z = low[2]; z <= high[2]; ++z) {
          const auto entry = first_.find(key({x, y, z}));
          if (entry == first_.end()) continue;
          for (std::int32_t k = entry->second; k >= 0; k = next_[k])
            if (norm((kept[k] - p)) <= distance_) return k;
        }
    return -1;
  }

  const std::vector<Point3>& points_;
  double distance_;
  Point3 origin_;
  std::unordered_map<std::uint64_t, std::int32_t> first_;
  std::vector<std::int32_t> next_;
};

}  // namespace

std::vector<std::int32_t> joined_points(const std::vector<Point3>& points, double distance,
                                        std::vector<Point3>& kept) {
  Box3 box;
  for (const Point3& p : points) box.add(p);
  return Welder(points, distance, box.low).run(kept);
}

}  // namespace firstshot
