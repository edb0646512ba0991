#include "io/shell_builder.hpp"

#include <bit>
#include <utility>

namespace firstshot {
namespace {

constexpr std::size_t first_slots = 1024;
constexpr std::int32_t free_slot = -1;

/// Mixes the bits of three doubles: multiplication spreads low bits upwards, the shift brings them
/// down again.
std::uint64_t mixed(const Point3& p) {
  constexpr std::uint64_t odd = 0x9e3779b97f4a7c15U;  // 2^64 divided by the golden ratio
  constexpr int half = 32;
  std::uint64_t hash = 0;
  for (const double value : {p.x, p.y, p.z}) {
    hash = (hash ^ std::bit_cast<std::uint64_t>(value)) * odd;
    hash ^= hash >> half;
  }
  return hash;
}

bool same(const Point3& a, const Point3& b) { return a.x == b.x && a.y == b.y && a.z == b.z; }

}  // namespace

std::size_t ShellBuilder::slot_of(const Point3& at) const {
  const std::size_t mask = slots_.size() - 1;
  std::size_t slot = mixed(at) & mask;
  while (slots_[slot] != free_slot && !same(shell_.points[slots_[slot]], at))
    slot = (slot + 1) & mask;
  return slot;
}

void ShellBuilder::grow() {
  slots_.assign(slots_.empty() ? first_slots : 2 * slots_.size(), free_slot);
  for (std::size_t i = 0; i < shell_.points.size(); ++i)
    slots_[slot_of(shell_.points[i])] = static_cast<std::int32_t>(i);
}

std::int32_t ShellBuilder::point(const Point3& at) {
  if (2 * shell_.points.size() >= slots_.size()) grow();
  const Point3 plain{at.x + 0.0, at.y + 0.0,
                     at.z + 0.0};  // -0 becomes 0: one bit pattern per place
  const std::size_t slot = slot_of(plain);
  if (slots_[slot] == free_slot) {
    slots_[slot] = static_cast<std::int32_t>(shell_.points.size());
    shell_.points.push_back(plain);
  }
  return slots_[slot];
}

void ShellBuilder::add_triangle(const std::array<std::int32_t, 3>& corners) {
  const auto [a, b, c] = corners;
  if (a != b && b != c && c != a) shell_.triangles.push_back(corners);
}

Shell ShellBuilder::take() {
  slots_ = {};
  return std::exchange(shell_, {});
}

}  // namespace firstshot
