#include "mesh/solid/check_shell.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <string>
#include <unordered_map>

#include "mesh/error.hpp"
#include "mesh/solid/space.hpp"
#include "mesh/solid/weld.hpp"

namespace firstshot {
namespace {

/// Points closer than this share of the solid's diagonal are one: above the rounding of single
/// precision numbers (6e-8) in which STL files are written, far below any cutter.
constexpr double weld_share = 1e-6;
/// ... but never more than this [m]: a tenth of what a machine tool resolves.
constexpr double most_weld = 1e-7;
/// ... and never less than rounding allows.
constexpr double least_weld_share = 1e-7;

using Corners = std::array<std::int32_t, 3>;

struct Side {
  std::int32_t low, high;  ///< its points
  std::int32_t triangle;
  bool forward;  ///< the triangle runs from low to high
};

std::string in_mm(double x) {
  std::string text = std::to_string(x * 1e3);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

void refuse_nonsense(const Shell& shell) {
  if (shell.triangles.empty())
    throw Error("the solid has no triangles; it must be a closed surface");
  for (std::size_t i = 0; i < shell.points.size(); ++i) {
    const Point3& p = shell.points[i];
    if (std::isfinite(p.x) && std::isfinite(p.y) && std::isfinite(p.z)) continue;
    throw Error("point " + std::to_string(i + 1) +
                " of the solid has a coordinate that is not a finite number");
  }
  const auto n = static_cast<std::int32_t>(shell.points.size());
  for (const Corners& t : shell.triangles) {
    for (const std::int32_t c : t) {
      if (c < 0 || c >= n) throw Error("a triangle of the solid names a point that is not there");
    }
  }
}

void join_points(const Shell& shell, Shell& out, ShellFindings& findings) {
  Box3 box;
  for (const Point3& p : shell.points) box.add(p);
  findings.weld_distance =
      std::max(std::min(weld_share * box.diagonal(), most_weld), least_weld_share * box.diagonal());
  if (!(findings.weld_distance > 0.0)) throw Error("the solid has no extent");
  const std::vector<std::int32_t> number =
      joined_points(shell.points, findings.weld_distance, out.points);
  findings.merged_points = shell.points.size() - out.points.size();
  out.triangles.reserve(shell.triangles.size());
  for (const Corners& t : shell.triangles) {
    const Corners c = {number[t[0]], number[t[1]], number[t[2]]};
    if (c[0] == c[1] || c[1] == c[2] || c[2] == c[0]) {
      ++findings.empty_triangles;
      continue;
    }
    out.triangles.push_back(c);
  }
}

/// What equal triangles in the same sense are: one given twice; a face that two bodies have in
/// common one of which is inside out; or the surface folded onto itself where points were joined,
/// so that what counts is the sense of which there are more.
enum class Pairs { one, none, net };

/// The same three points twice in the same sense: one goes. In opposite senses both go, since
/// nothing lies between them.
void drop_doubles(Shell& shell, Pairs pairs, ShellFindings& findings) {
  struct Entry {
    Corners sorted;
    std::int32_t triangle;
    bool even;
  };
  std::vector<Entry> entries;
  entries.reserve(shell.triangles.size());
  for (std::size_t i = 0; i < shell.triangles.size(); ++i) {
    Corners c = shell.triangles[i];
    bool even = true;
    for (const auto& [a, b] : {std::pair{0, 1}, std::pair{1, 2}, std::pair{0, 1}}) {
      if (c[a] <= c[b]) continue;
      std::swap(c[a], c[b]);
      even = !even;
    }
    entries.push_back({c, static_cast<std::int32_t>(i), even});
  }
  std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
    return a.sorted != b.sorted ? a.sorted < b.sorted : a.triangle < b.triangle;
  });
  std::vector<bool> drop(entries.size(), false);
  for (std::size_t i = 0; i < entries.size();) {
    std::size_t end = i;
    int even = 0, odd = 0;
    for (; end < entries.size() && entries[end].sorted == entries[i].sorted; ++end)
      ++(entries[end].even ? even : odd);
    int keep_even = even > 0 ? 1 : 0, keep_odd = odd > 0 ? 1 : 0;
    if (keep_even + keep_odd == 2) keep_even = keep_odd = 0;
    if (pairs == Pairs::none && even + odd == 2) keep_even = keep_odd = 0;
    if (pairs == Pairs::net)
      keep_even = std::max(0, even - odd), keep_odd = std::max(0, odd - even);
    for (; i < end; ++i) {
      int& keep = entries[i].even ? keep_even : keep_odd;
      drop[entries[i].triangle] = keep <= 0;
      --keep;
    }
  }
  std::size_t kept = 0;
  for (std::size_t i = 0; i < shell.triangles.size(); ++i)
    if (!drop[i]) shell.triangles[kept++] = shell.triangles[i];
  findings.double_triangles = shell.triangles.size() - kept;
  shell.triangles.resize(kept);
}

std::vector<Side> sorted_sides(const Shell& shell) {
  // Sides in the order of their lower point (counting), then by the upper one within its few.
  std::vector<std::int32_t> start(shell.points.size() + 1, 0);
  const auto each = [&](auto&& visit) {
    for (std::size_t i = 0; i < shell.triangles.size(); ++i)
      for (std::size_t k = 0; k < 3; ++k) {
        const std::int32_t a = shell.triangles[i][k], b = shell.triangles[i][(k + 1) % 3];
        visit(Side{std::min(a, b), std::max(a, b), static_cast<std::int32_t>(i), a < b});
      }
  };
  each([&](const Side& s) { ++start[s.low + 1]; });
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<Side> sides(3 * shell.triangles.size());
  std::vector<std::int32_t> next(start.begin(), start.end() - 1);
  each([&](const Side& s) { sides[next[s.low]++] = s; });
  for (std::size_t p = 0; p + 1 < start.size(); ++p)
    std::stable_sort(sides.begin() + start[p], sides.begin() + start[p + 1],
                     [](const Side& a, const Side& b) { return a.high < b.high; });
  return sides;
}

template <class Visit>
void for_each_edge(const std::vector<Side>& sides, const Visit& visit) {
  for (std::size_t i = 0; i < sides.size();) {
    std::size_t end = i;
    while (end < sides.size() && sides[end].low == sides[i].low && sides[end].high == sides[i].high)
      ++end;
    visit(i, end);
    i = end;
  }
}

/// Pieces that hang together by edges with two triangles, or with as many in each sense; turns
/// triangles so that neighbours agree. Returns the piece of each triangle.
std::vector<std::int32_t> agree(Shell& shell, ShellFindings& findings) {
  const std::vector<Side> sides = sorted_sides(shell);
  std::vector<std::array<std::int32_t, 3>> neighbour(shell.triangles.size(), {-1, -1, -1});
  std::vector<std::array<bool, 3>> opposed(shell.triangles.size(), {false, false, false});
  std::vector<std::uint8_t> used(shell.triangles.size(), 0);
  const auto link = [&](std::int32_t a, std::int32_t b, bool same) {
    neighbour[a][used[a]] = b;
    opposed[a][used[a]++] = same;
    neighbour[b][used[b]] = a;
    opposed[b][used[b]++] = same;
  };
  for_each_edge(sides, [&](std::size_t i, std::size_t end) {
    if (end - i == 2) {
      link(sides[i].triangle, sides[i + 1].triangle, sides[i].forward == sides[i + 1].forward);
      return;
    }
    // Bodies that touch: each has one triangle in each sense here, and stands by itself in the
    // file.
    std::vector<std::int32_t> forward, backward;
    for (std::size_t k = i; k < end; ++k)
      (sides[k].forward ? forward : backward).push_back(sides[k].triangle);
    if (forward.size() != backward.size()) return;
    std::sort(forward.begin(), forward.end());
    std::sort(backward.begin(), backward.end());
    for (std::size_t k = 0; k < forward.size(); ++k) link(forward[k], backward[k], false);
  });
  std::vector<std::int32_t> piece(shell.triangles.size(), -1);
  std::vector<std::int32_t> stack;
  std::int32_t n = 0;
  for (std::size_t seed = 0; seed < piece.size(); ++seed) {
    if (piece[seed] >= 0) continue;
    std::vector<std::pair<std::int32_t, bool>> members = {{static_cast<std::int32_t>(seed), false}};
    piece[seed] = n;
    std::size_t turned = 0;
    for (std::size_t m = 0; m < members.size(); ++m) {
      const auto [t, turn] = members[m];
      turned += turn ? 1 : 0;
      for (std::uint8_t k = 0; k < used[t]; ++k) {
        const std::int32_t other = neighbour[t][k];
        if (piece[other] >= 0) continue;
        piece[other] = n;
        members.emplace_back(other, turn != opposed[t][k]);
      }
    }
    // The majority is taken to be right here; whether all are inside out is seen from the volume.
    const bool minority = 2 * turned <= members.size();
    for (const auto& [t, turn] : members)
      if (turn == minority) {
        std::swap(shell.triangles[t][1], shell.triangles[t][2]);
        ++findings.turned_triangles;
      }
    ++n;
  }
  findings.shells = static_cast<std::size_t>(n);
  return piece;
}

/// Solid angle of the whole piece seen from a point, in full spheres: its winding number.
double winding(const Shell& shell, const std::vector<std::int32_t>& members, const Point3& at) {
  double sum = 0.0;
  for (const std::int32_t t : members) {
    const Point3 a = (shell.points[shell.triangles[t][0]] - at);
    const Point3 b = (shell.points[shell.triangles[t][1]] - at);
    const Point3 c = (shell.points[shell.triangles[t][2]] - at);
    const double la = norm(a), lb = norm(b), lc = norm(c);
    sum += std::atan2(dot(a, cross(b, c)),
                      la * lb * lc + dot(a, b) * lc + dot(b, c) * la + dot(c, a) * lb);
  }
  constexpr double full = 6.283185307179586;  // 2π, since atan2 gives half the solid angle
  return sum / full;
}

/// Turns every piece that is inside out; a piece within an odd number of others is a void's skin
/// and stays inside out.
void turn_shells(Shell& shell, const std::vector<std::int32_t>& piece, ShellFindings& findings) {
  const std::size_t n = findings.shells;
  std::vector<std::vector<std::int32_t>> members(n);
  std::vector<double> volume(n, 0.0);
  std::vector<Box3> box(n);
  const Point3 origin = shell.points[shell.triangles[0][0]];
  for (std::size_t i = 0; i < shell.triangles.size(); ++i) {
    const auto p = static_cast<std::size_t>(piece[i]);
    members[p].push_back(static_cast<std::int32_t>(i));
    std::array<Point3, 3> c;
    for (std::size_t k = 0; k < 3; ++k) {
      box[p].add(shell.points[shell.triangles[i][k]]);
      c[k] = (shell.points[shell.triangles[i][k]] - origin);
    }
    volume[p] += dot(c[0], cross(c[1], c[2])) / 6.0;
  }
  std::vector<bool> turn(n, false);
  for (std::size_t p = 0; p < n; ++p) {
    if (volume[p] >= 0.0) continue;
    bool within = false;
    for (std::size_t q = 0; q < n && !within; ++q) {
      if (q == p || !(volume[q] > 0.0) || !box[q].holds(box[p])) continue;
      within = std::abs(winding(shell, members[q],
                                shell.points[shell.triangles[members[p][0]][0]])) > 0.5;
    }
    turn[p] = !within;
  }
  for (std::size_t p = 0; p < n; ++p) {
    if (turn[p]) {
      ++findings.turned_shells;
      volume[p] = -volume[p];
      for (const std::int32_t t : members[p])
        std::swap(shell.triangles[t][1], shell.triangles[t][2]);
    }
    findings.volume += volume[p];
  }
}

/// Edges without as many triangles in one sense as in the other, joined to lines.
void find_holes(const Shell& shell, ShellFindings& findings) {
  const std::vector<Side> sides = sorted_sides(shell);
  std::vector<std::pair<std::int32_t, std::int32_t>> open;
  for_each_edge(sides, [&](std::size_t i, std::size_t end) {
    const std::size_t count = end - i;
    std::size_t forward = 0;
    for (std::size_t k = i; k < end; ++k) forward += sides[k].forward ? 1 : 0;
    if (2 * forward != count)
      open.emplace_back(sides[i].low, sides[i].high);
    else if (count > 2)
      ++findings.touching_edges;
  });
  std::unordered_map<std::int32_t, std::int32_t> parent;
  const auto root = [&](std::int32_t p) {
    parent.try_emplace(p, p);
    while (parent[p] != p) p = parent[p] = parent[parent[p]];
    return p;
  };
  for (const auto& [a, b] : open) {
    const std::int32_t ra = root(a), rb = root(b);
    parent[std::max(ra, rb)] = std::min(ra, rb);
  }
  std::unordered_map<std::int32_t, std::size_t> slot;
  std::vector<Box3> boxes;
  for (const auto& [a, b] : open) {
    const auto [entry, fresh] = slot.try_emplace(root(a), boxes.size());
    if (fresh) {
      boxes.emplace_back();
      findings.holes.emplace_back();
    }
    boxes[entry->second].add(shell.points[a]);
    boxes[entry->second].add(shell.points[b]);
    ++findings.holes[entry->second].edges;
  }
  for (std::size_t h = 0; h < boxes.size(); ++h) {
    const Box3& b = boxes[h];
    findings.holes[h].at = {0.5 * (b.low.x + b.high.x), 0.5 * (b.low.y + b.high.y),
                            0.5 * (b.low.z + b.high.z)};
    findings.holes[h].size = b.diagonal();
  }
  std::stable_sort(findings.holes.begin(), findings.holes.end(),
                   [](const ShellHole& a, const ShellHole& b) { return a.size > b.size; });
}

Shell repaired(const Shell& shell, Pairs pairs, ShellFindings& findings) {
  findings = {};
  Shell out;
  join_points(shell, out, findings);
  drop_doubles(out, pairs, findings);
  if (out.triangles.empty()) {
    if (pairs != Pairs::one) return out;
    throw Error("all triangles of the solid are without area");
  }
  const std::vector<std::int32_t> piece = agree(out, findings);
  turn_shells(out, piece, findings);
  find_holes(out, findings);
  for (const Corners& t : out.triangles) {
    const Point3& a = out.points[t[0]];
    findings.surface += 0.5 * norm(cross((out.points[t[1]] - a), (out.points[t[2]] - a)));
  }
  return out;
}

}  // namespace

Shell repaired(const Shell& shell, ShellFindings& findings) {
  refuse_nonsense(shell);
  Shell out = repaired(shell, Pairs::one, findings);
  if (findings.holes.empty() || findings.double_triangles == 0) return out;
  for (const Pairs pairs : {Pairs::none, Pairs::net}) {
    ShellFindings other;
    Shell without = repaired(shell, pairs, other);
    if (without.triangles.empty() || !other.holes.empty()) continue;
    findings = other;
    return without;
  }
  return out;
}

Shell check_shell(const Shell& shell, ShellFindings* findings) {
  ShellFindings own;
  ShellFindings& found = findings != nullptr ? *findings : own;
  Shell out = repaired(shell, found);
  if (found.holes.empty()) return out;
  const ShellHole& hole = found.holes.front();
  const std::string count = found.holes.size() == 1
                                ? "a hole"
                                : std::to_string(found.holes.size()) + " holes, the largest";
  throw GeometryError("the solid is open: it has " + count + " " + in_mm(hole.size) +
                          " mm across, at z = " + in_mm(hole.at.z) +
                          " mm; only a closed surface has an inside",
                      hole.at.x, hole.at.y);
}

}  // namespace firstshot
