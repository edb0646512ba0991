#include "mesh/solid/roles.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/part_names.hpp"
#include "mesh/solid/gate_shape.hpp"

namespace firstshot {
namespace {

/// A runner is at most this many times as wide as deep (common practice, no source).
constexpr double widest_runner = 3.5;
/// One behind a neck must look more like a channel: rings and bars are parts.
constexpr double widest_second_runner = 2.5;
/// A gate shorter than this share of its width is a mere cut in the mesh.
constexpr double shortest_gate = 0.3;

/// What is known of a piece.
struct PieceFacts {
  double cells = 0.0;
  Box box;
  double width_over_depth = 0.0;  ///< mean along the ridge
  bool runner = false;
  std::int32_t belongs_to = -1;  ///< another piece whose part it is
  const PartMark* mark = nullptr;
};

class RoleFinder {
 public:
  RoleFinder(const RoleInput& in, std::span<const PartMark> marks)
      : in_(in), marks_(marks), pieces_(static_cast<std::size_t>(in.necks.n_pieces)) {}

  Roles run() {
    measure();
    set_marks();
    find_runners();
    join_hangers();
    name_regions();
    add_gates();
    return std::move(roles_);
  }

 private:
  std::int32_t piece_at(Point p) const { return in_.necks.at(in_.columns.grid, p); }
  Point place(std::size_t k) const {
    const auto nx = static_cast<std::size_t>(in_.columns.grid.nx);
    return in_.columns.grid.at(static_cast<int>(k % nx), static_cast<int>(k / nx));
  }

  void measure() {
    for (std::size_t k = 0; k < in_.necks.piece.size(); ++k) {
      if (in_.necks.piece[k] < 0) continue;
      PieceFacts& p = pieces_[in_.necks.piece[k]];
      p.cells += 1.0;
      p.box.add(place(k));
    }
    std::vector<double> count(pieces_.size(), 0.0);
    for (const RidgePoint& r : in_.ridge) {
      const std::int32_t k = piece_at(r.at);
      const int i =
          static_cast<int>(std::lround((r.at.x - in_.columns.grid.low.x) / in_.columns.grid.cell));
      const int j =
          static_cast<int>(std::lround((r.at.y - in_.columns.grid.low.y) / in_.columns.grid.cell));
      if (k < 0 || i >= in_.columns.grid.nx || j >= in_.columns.grid.ny) continue;
      const std::size_t cell = in_.columns.grid.index(i, j);
      if (!in_.columns.holds(cell) || !(in_.columns.chord(cell) > 0.0)) continue;
      pieces_[k].width_over_depth += r.width / in_.columns.chord(cell);
      count[k] += 1.0;
    }
    for (std::size_t k = 0; k < pieces_.size(); ++k)
      pieces_[k].width_over_depth = count[k] > 0.0 ? pieces_[k].width_over_depth / count[k] : 1e9;
  }

  /// A mark keeps its piece from joining another one; name_parts says what is wrong with marks.
  void set_marks() {
    for (const PartMark& mark : marks_) {
      const std::int32_t k = piece_at(mark.inside);
      if (k >= 0) pieces_[k].mark = &mark;
    }
  }

  void find_runners() {
    const std::int32_t first = piece_at(in_.inlet);
    if (first < 0) return;
    const auto is_channel = [&](std::int32_t k, double widest) {
      return pieces_[k].mark == nullptr && pieces_[k].width_over_depth <= widest;
    };
    std::vector<int> degree(pieces_.size(), 0);
    for (const Neck& n : in_.necks.necks) ++degree[n.a], ++degree[n.b];
    if (degree[first] == 0 || !is_channel(first, widest_runner)) return;
    std::vector<std::int32_t> queue = {first};
    pieces_[first].runner = true;
    for (std::size_t q = 0; q < queue.size(); ++q)
      for (const Neck& n : in_.necks.necks) {
        if (n.a != queue[q] && n.b != queue[q]) continue;
        const std::int32_t other = n.a == queue[q] ? n.b : n.a;
        if (pieces_[other].runner || degree[other] < 2 || !is_channel(other, widest_second_runner))
          continue;
        pieces_[other].runner = true;
        queue.push_back(other);
      }
  }

  std::int32_t owner(std::int32_t k) const {
    while (pieces_[k].belongs_to >= 0) k = pieces_[k].belongs_to;
    return k;
  }

  /// A piece without a runner beside it joins the neighbour behind its widest neck.
  void join_hangers() {
    std::vector<bool> fed(pieces_.size(), false);
    for (const Neck& n : in_.necks.necks) {
      if (pieces_[n.a].runner) fed[n.b] = true;
      if (pieces_[n.b].runner) fed[n.a] = true;
    }
    std::vector<Neck> widest = in_.necks.necks;
    std::stable_sort(widest.begin(), widest.end(),
                     [](const Neck& a, const Neck& b) { return a.measure > b.measure; });
    for (const Neck& n : widest) {
      const std::int32_t a = owner(n.a), b = owner(n.b);
      if (a == b || pieces_[a].runner || pieces_[b].runner) continue;
      const auto stays = [&](std::int32_t k) { return fed[k] || pieces_[k].mark != nullptr; };
      if (stays(a) && stays(b)) continue;
      const bool into_a = stays(a) || (!stays(b) && pieces_[a].cells >= pieces_[b].cells);
      pieces_[into_a ? b : a].belongs_to = into_a ? a : b;
    }
  }

  void name_regions() {
    std::vector<std::int32_t> parts;
    std::vector<std::int32_t> region(pieces_.size(), -1);
    int runners = 0;
    for (std::size_t k = 0; k < pieces_.size(); ++k) {
      if (pieces_[k].runner) {
        region[k] = static_cast<std::int32_t>(roles_.regions.size());
        roles_.regions.push_back({"runner-" + std::to_string(++runners), Role::runner, false});
      } else if (pieces_[k].belongs_to < 0) {
        parts.push_back(static_cast<std::int32_t>(k));
      }
    }
    std::vector<FoundPart> found;
    std::vector<Point> places;
    for (const std::int32_t k : parts) {
      places.push_back(between(pieces_[k].box.low, pieces_[k].box.high, 0.5));
      found.push_back({places.back(), [this, k](Point p) {
                         const std::int32_t piece = piece_at(p);
                         return piece >= 0 && owner(piece) == k;
                       }});
    }
    std::vector<PartMark> used;
    for (const PartMark& mark : marks_) {
      const std::int32_t piece = piece_at(mark.inside);
      if (piece >= 0 && !pieces_[owner(piece)].runner)
        used.push_back(mark);
      else
        roles_.unused_marks.push_back(mark.name);
    }
    const std::vector<PartName> names = name_parts(found, used);
    for (const std::size_t i : reading_order(places)) {
      region[parts[i]] = static_cast<std::int32_t>(roles_.regions.size());
      roles_.regions.push_back({names[i].name, Role::part, names[i].visible});
    }
    for (std::size_t k = 0; k < pieces_.size(); ++k)
      roles_.region_of_piece.push_back(region[owner(static_cast<std::int32_t>(k))]);
  }

  void add_gates() {
    for (const Neck& n : in_.necks.necks) {
      const std::int32_t a = roles_.region_of_piece[n.a], b = roles_.region_of_piece[n.b];
      if (a == b) continue;
      const bool a_runs = pieces_[n.a].runner, b_runs = pieces_[n.b].runner;
      if (a_runs && b_runs) continue;
      std::optional<GateShape> gate = gate_at(in_, n, a_runs || !b_runs);
      if (!gate) continue;
      const bool into_b = a_runs || !b_runs;
      gate->size.region = into_b ? a : b;
      gate->size.part = into_b ? b : a;
      gate->long_enough = gate->size.length >= shortest_gate * gate->size.width;
      roles_.gates.push_back(*gate);
    }
    std::stable_sort(
        roles_.gates.begin(), roles_.gates.end(),
        [](const GateShape& a, const GateShape& b) { return a.size.part < b.size.part; });
    int number = 0;
    for (GateShape& gate : roles_.gates) gate.size.name = "gate-" + std::to_string(++number);
  }

  const RoleInput& in_;
  std::span<const PartMark> marks_;
  std::vector<PieceFacts> pieces_;
  Roles roles_;
};

}  // namespace

Roles find_roles(const RoleInput& in, std::span<const PartMark> marks) {
  return RoleFinder(in, marks).run();
}

}  // namespace firstshot
