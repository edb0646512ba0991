#include "tools/cli/gate_troubles.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "tools/cli/balance_report.hpp"

namespace firstshot {
namespace {

constexpr double mm = 1e-3;

}  // namespace

bool same(const Trouble& a, const Trouble& b) { return a.words == b.words; }

std::vector<Trouble> troubles(const Result& run) {
  std::vector<Trouble> list;
  for (const ShortShot& s : run.short_shots)
    list.push_back({s.part, fmt::format("{} stays short", s.part), s.at, false});
  for (const AirPocketResult& p : run.air_pockets)
    if (is_caught(p))
      list.push_back({p.part,
                      fmt::format("air is caught in {} at ({:.1f}, {:.1f}) mm", p.part, p.at.x / mm,
                                  p.at.y / mm),
                      p.at, true});
  return list;
}

std::vector<Trouble> gone(std::vector<Trouble> before, const std::vector<Trouble>& now) {
  for (const Trouble& left : now) {
    const auto way = [&](const Trouble& t) {
      if (t.part != left.part || t.air != left.air) return std::numeric_limits<double>::infinity();
      return std::hypot(t.at.x - left.at.x, t.at.y - left.at.y);
    };
    const auto nearest =
        std::min_element(before.begin(), before.end(),
                         [&](const Trouble& a, const Trouble& b) { return way(a) < way(b); });
    if (nearest != before.end() && std::isfinite(way(*nearest))) before.erase(nearest);
  }
  return before;
}

}  // namespace firstshot
