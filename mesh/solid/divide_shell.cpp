#include "mesh/solid/divide_shell.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <unordered_map>
#include <utility>
#include <vector>

namespace firstshot {
namespace {

using Corners = std::array<std::int32_t, 3>;

/// Middles of the sides that are divided in one pass.
class Middles {
 public:
  Middles(Shell& shell, double longest) : shell_(shell), longest_(longest) {}

  /// Index of the middle of a side, -1 for a side that is short enough.
  std::int32_t of(std::int32_t a, std::int32_t b) {
    const Point3 p = shell_.points[a], q = shell_.points[b];
    const Point3 d = {q.x - p.x, q.y - p.y, q.z - p.z};
    if (d.x * d.x + d.y * d.y + d.z * d.z <= longest_ * longest_) return -1;
    constexpr int half_of_bits = 32;
    const auto low = static_cast<std::uint64_t>(std::min(a, b));
    const std::uint64_t key = low << half_of_bits | static_cast<std::uint64_t>(std::max(a, b));
    const auto next = static_cast<std::int32_t>(shell_.points.size());
    const auto [at, added] = index_.try_emplace(key, next);
    if (added) shell_.points.push_back({(p.x + q.x) / 2.0, (p.y + q.y) / 2.0, (p.z + q.z) / 2.0});
    return at->second;
  }

 private:
  Shell& shell_;
  double longest_;
  std::unordered_map<std::uint64_t, std::int32_t> index_;
};

/// The pieces of a triangle; m[k] is the middle of the side from corner k to the next, or -1.
void add_pieces(const Corners& t, const Corners& m, std::vector<Corners>& out) {
  const auto n_divided = std::count_if(m.begin(), m.end(), [](auto i) { return i >= 0; });
  if (n_divided == 0) {
    out.push_back(t);
  } else if (n_divided == 3) {
    out.insert(out.end(), {{t[0], m[0], m[2]}, {m[0], t[1], m[1]}, {m[2], m[1], t[2]}, m});
  } else if (n_divided == 1) {
    const auto k = static_cast<std::size_t>(std::max_element(m.begin(), m.end()) - m.begin());
    const std::int32_t b = t.at((k + 1) % 3), c = t.at((k + 2) % 3);
    out.insert(out.end(), {{t.at(k), m.at(k), c}, {m.at(k), b, c}});
  } else {
    // k: the side that stays whole; the corner opposite to it is cut off.
    const auto k = static_cast<std::size_t>(std::min_element(m.begin(), m.end()) - m.begin());
    const std::int32_t a = t.at(k), b = t.at((k + 1) % 3), c = t.at((k + 2) % 3);
    const std::int32_t bc = m.at((k + 1) % 3), ca = m.at((k + 2) % 3);
    out.insert(out.end(), {{a, b, bc}, {a, bc, ca}, {ca, bc, c}});
  }
}

}  // namespace

Shell divided_shell(const Shell& shell, double longest, std::size_t most) {
  Shell fine = shell;
  for (bool again = true; again;) {
    Shell next = fine;
    next.triangles.clear();
    Middles middles(next, longest);
    for (const Corners& t : fine.triangles) {
      const Corners m{middles.of(t[0], t[1]), middles.of(t[1], t[2]), middles.of(t[2], t[0])};
      add_pieces(t, m, next.triangles);
      if (next.triangles.size() > most) return fine;
    }
    again = next.triangles.size() > fine.triangles.size();
    fine = std::move(next);
  }
  return fine;
}

}  // namespace firstshot
