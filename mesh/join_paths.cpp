#include "mesh/join_paths.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <set>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr double kRounding = 1e-6;        // of coordinates written with few digits [m]
constexpr std::size_t kMostInCell = 200;  // ends within one gap of each other

// End 2 i is the start of path i, end 2 i + 1 its last corner.
Point end_point(const std::vector<DrawnPath>& paths, std::size_t end) {
  const auto& corners = paths[end / 2].corners;
  return end % 2 == 0 ? corners.front().at : corners.back().at;
}

using Key = std::vector<std::array<std::int64_t, 3>>;

// The same for two paths that lie on each other, whichever way each was drawn.
Key key_of(const DrawnPath& path) {
  constexpr double kBulgeStep = 1e-5;
  const auto rounded = [](const std::vector<Corner>& corners) {
    Key key;
    for (const Corner& c : corners) {
      key.push_back({std::llround(c.at.x / kRounding), std::llround(c.at.y / kRounding),
                     std::llround(c.bulge / kBulgeStep)});
    }
    return key;
  };
  if (path.closed) {
    // Wherever it begins and whichever way it goes round.
    Key key = rounded(path.corners);
    for (auto& corner : key) corner[2] = std::abs(corner[2]);
    std::sort(key.begin(), key.end());
    return key;
  }
  Key forth = rounded(path.corners);
  forth.back()[2] = 0;
  return std::min(forth, rounded(reversed(path.corners)));
}

std::vector<DrawnPath> without_repeats(std::vector<DrawnPath> paths, JoinReport& report) {
  std::set<Key> seen;
  std::set<Key> seen_closed;
  std::vector<DrawnPath> kept;
  for (DrawnPath& path : paths) {
    if (!(path.closed ? seen_closed : seen).insert(key_of(path)).second) {
      if (report.repeats++ == 0) report.repeat_at = path.corners.front().at;
      continue;
    }
    kept.push_back(std::move(path));
  }
  return kept;
}

struct Meeting {
  double distance;
  std::size_t first, second;  // ends
};

// Pairs of ends within the gap.
class Meetings {
 public:
  Meetings(const std::vector<DrawnPath>& paths, const JoinRule& rule) : paths_(paths), rule_(rule) {
    for (std::size_t end = 0; end < 2 * paths.size(); ++end) {
      if (paths[end / 2].closed) continue;
      const Point at = end_point(paths, end);
      if (rule.may_join && !rule.may_join(at)) continue;
      auto& cell = cells_[cell_of(at, 0, 0)];
      if (cell.size() >= kMostInCell)
        throw GeometryError("too many lines end in one place", at.x, at.y);
      cell.push_back(end);
    }
  }

  std::vector<Meeting> nearest_first() const {
    std::vector<Meeting> all;
    for (std::size_t end = 0; end < 2 * paths_.size(); ++end) {
      const std::vector<Meeting> here = of(end);
      if (rule_.leave_crossings && here.size() != 1) continue;
      for (const Meeting& m : here) {
        if (m.first >= m.second) continue;
        if (rule_.leave_crossings && of(m.second).size() != 1) continue;
        all.push_back(m);
      }
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const Meeting& a, const Meeting& b) { return a.distance < b.distance; });
    return all;
  }

 private:
  using Cell = std::pair<std::int64_t, std::int64_t>;
  Cell cell_of(Point p, int dx, int dy) const {
    return {std::llround(std::floor(p.x / rule_.gap)) + dx,
            std::llround(std::floor(p.y / rule_.gap)) + dy};
  }

  std::vector<Meeting> of(std::size_t end) const {
    std::vector<Meeting> found;
    if (paths_[end / 2].closed) return found;
    const Point at = end_point(paths_, end);
    if (rule_.may_join && !rule_.may_join(at)) return found;
    for (const int dx : {-1, 0, 1}) {
      for (const int dy : {-1, 0, 1}) {
        const auto it = cells_.find(cell_of(at, dx, dy));
        if (it == cells_.end()) continue;
        for (const std::size_t other : it->second) {
          const double d = distance(at, end_point(paths_, other));
          if (other != end && d <= rule_.gap) found.push_back({d, end, other});
        }
      }
    }
    return found;
  }

  const std::vector<DrawnPath>& paths_;
  const JoinRule& rule_;
  std::map<Cell, std::vector<std::size_t>> cells_;
};

constexpr std::size_t kNone = static_cast<std::size_t>(-1);

std::vector<std::size_t> partners_of(const std::vector<DrawnPath>& paths, const JoinRule& rule,
                                     JoinReport& report) {
  std::vector<std::size_t> partner(2 * paths.size(), kNone);
  for (const Meeting& m : Meetings(paths, rule).nearest_first()) {
    if (partner[m.first] != kNone || partner[m.second] != kNone) continue;
    partner[m.first] = m.second;
    partner[m.second] = m.first;
    if (m.distance <= kRounding) continue;
    ++report.gaps;
    if (m.distance > report.largest_gap) {
      report.largest_gap = m.distance;
      report.largest_at = between(end_point(paths, m.first), end_point(paths, m.second), 0.5);
    }
  }
  return partner;
}

// Adds a path to a chain, entered at `end`; the first corner falls onto the last one of the chain.
void append(std::vector<Corner>& chain, const DrawnPath& path, bool from_start) {
  std::vector<Corner> corners = from_start ? path.corners : reversed(path.corners);
  if (!chain.empty()) {
    const Point meet = chain.back().at == corners.front().at
                           ? corners.front().at
                           : between(chain.back().at, corners.front().at, 0.5);
    chain.pop_back();
    corners.front().at = meet;
  }
  chain.insert(chain.end(), corners.begin(), corners.end());
}

// Moving ends to the middle of a gap can bring two corners together; the later bulge holds.
void drop_short_sides(std::vector<Corner>& corners, bool closed) {
  std::vector<Corner> kept;
  for (const Corner& corner : corners) {
    if (!kept.empty() && kept.back().at == corner.at) kept.pop_back();
    kept.push_back(corner);
  }
  if (closed && kept.size() > 1 && kept.front().at == kept.back().at) kept.pop_back();
  corners = std::move(kept);
}

// Walks from path to path, entering the first one at `end`, until an open end or the start again.
DrawnPath chain_from(const std::vector<DrawnPath>& paths, const std::vector<std::size_t>& partner,
                     std::size_t end, std::vector<bool>& used) {
  DrawnPath chain{paths[end / 2].layer, {}, false, paths[end / 2].origin};
  for (std::size_t at = end; at != kNone && !used[at / 2]; at = partner[at ^ 1U]) {
    used[at / 2] = true;
    append(chain.corners, paths[at / 2], at % 2 == 0);
    chain.closed = partner[at ^ 1U] == end;
  }
  if (chain.closed) {
    const Point meet = between(chain.corners.front().at, chain.corners.back().at, 0.5);
    const bool exact = chain.corners.front().at == chain.corners.back().at;
    chain.corners.pop_back();
    if (!exact && !chain.corners.empty()) chain.corners.front().at = meet;
  }
  drop_short_sides(chain.corners, chain.closed);
  return chain;
}

}  // namespace

std::vector<Corner> reversed(const std::vector<Corner>& open_path) {
  std::vector<Corner> back(open_path.rbegin(), open_path.rend());
  for (std::size_t i = 0; i + 1 < back.size(); ++i) back[i].bulge = -back[i + 1].bulge;
  if (!back.empty()) back.back().bulge = 0.0;
  return back;
}

void JoinReport::add(const JoinReport& other) {
  if (other.largest_gap > largest_gap) {
    largest_gap = other.largest_gap;
    largest_at = other.largest_at;
  }
  if (repeats == 0) repeat_at = other.repeat_at;
  gaps += other.gaps;
  repeats += other.repeats;
}

std::vector<DrawnPath> join_paths(std::vector<DrawnPath> all, const JoinRule& rule,
                                  JoinReport& report) {
  const std::vector<DrawnPath> paths = without_repeats(std::move(all), report);
  const std::vector<std::size_t> partner = partners_of(paths, rule, report);
  std::vector<bool> used(paths.size(), false);
  std::vector<DrawnPath> chains;
  // Open chains first, each from the end that comes first; what is left goes round in circles.
  for (std::size_t end = 0; end < 2 * paths.size(); ++end) {
    if (used[end / 2]) continue;
    if (paths[end / 2].closed) {
      used[end / 2] = true;
      chains.push_back(paths[end / 2]);
    } else if (partner[end] == kNone) {
      chains.push_back(chain_from(paths, partner, end, used));
    }
  }
  for (std::size_t i = 0; i < paths.size(); ++i) {
    if (!used[i]) chains.push_back(chain_from(paths, partner, 2 * i, used));
  }
  return chains;
}

void throw_open(const DrawnPath& path, const std::vector<DrawnPath>& all, double gap) {
  const Point start = path.corners.front().at;
  const Point end = path.corners.back().at;
  Point nearest = end;
  for (const DrawnPath& other : all) {
    if (other.closed || &other == &path) continue;
    for (const Point p : {other.corners.front().at, other.corners.back().at}) {
      if (distance(start, p) < distance(start, nearest)) nearest = p;
    }
  }
  throw GeometryError(path.origin + ": an outline is not closed: it begins here and ends at " +
                          place_text(end) + "; the nearest other end lies at " +
                          place_text(nearest) + ", " + in_mm(distance(start, nearest)) +
                          " away; gaps up to " + in_mm(gap) + " are closed (geometry.gap)",
                      start.x, start.y);
}

}  // namespace firstshot
