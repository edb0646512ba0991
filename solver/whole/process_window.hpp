// The process window: which settings of two axes give good shots, where the good ones end, and
// which setting has the most room on all sides.
//
// Settings are points of the unit square, u along the first axis and v along the second, each over
// its range. A lattice of shots is judged first; between neighbours of which one is good and the
// other is not lies an edge, which bisection then narrows down. Edges of the four sides of a cell
// are joined by straight lines; where two good corners face each other across a cell they count as
// apart. What is smaller than a cell is not seen.
//
// Within the last bracket of an edge the load that breaks its limit is taken to be linear, so that
// the error falls with the square of the bracket; an edge without a load is put in the middle.
#pragma once

#include <array>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// What becomes of a shot; the first that holds, in this order from no_result backwards to fills:
/// no_result, too_cold or short_shot, over_pressure, over_clamp, scorch, fills.
enum class ShotClass { fills, short_shot, too_cold, over_pressure, over_clamp, scorch, no_result };
inline constexpr std::array<ShotClass, 7> shot_classes = {
    ShotClass::fills,      ShotClass::short_shot, ShotClass::too_cold, ShotClass::over_pressure,
    ShotClass::over_clamp, ShotClass::scorch,     ShotClass::no_result};
/// For scripts, "over_pressure".
const char* shot_class_name(ShotClass kind);
/// For people, "over pressure".
const char* shot_class_words(ShotClass kind);

inline constexpr double unknown_load = std::numeric_limits<double>::quiet_NaN();

/// One shot that was judged. Loads and limit in any unit, the same in all shots; NaN: unknown.
struct WindowShot {
  Point at;  ///< u, v in 0 … 1
  ShotClass kind = ShotClass::no_result;
  double pressure = unknown_load, clamp = unknown_load, gas_temperature = unknown_load;
  double limit = unknown_load;  ///< of the load that broke it
  bool good() const { return kind == ShotClass::fills; }
};

/// Between a good and a bad shot.
struct WindowEdge {
  WindowShot good, bad;
  Point middle() const;
  /// Takes the half whose ends differ.
  void narrow(const WindowShot& shot);
  /// Where it is, as far as is known.
  Point at() const;
};

/// Shots at all crossings of `columns` values of u and `rows` values of v, evenly spaced.
struct WindowLattice {
  std::size_t columns = 2, rows = 2;
  std::vector<WindowShot> shots;  ///< (rows * columns), u runs faster
  const WindowShot& shot(std::size_t column, std::size_t row) const {
    return shots[row * columns + column];
  }
};
/// Settings of a lattice, in its order. @param columns, rows ≥ 2
std::vector<Point> lattice_points(std::size_t columns, std::size_t rows);

/// Edges of a lattice: of each neighbour to the right, then of each above, where one is good and
/// the other is not.
struct LatticeEdges {
  std::vector<WindowEdge> edges;
  std::vector<std::ptrdiff_t> right, above;  ///< (rows * columns) place in `edges`, -1: none
};
LatticeEdges edges_of(const WindowLattice& lattice);

struct OutlineSegment {
  Point a, b;
  ShotClass beyond = ShotClass::no_result;
};
struct WindowMap {
  std::vector<std::vector<Point>> areas;  ///< convex pieces in which shots are good
  std::vector<OutlineSegment> outline;    ///< their border inside the range
  double share = 0.0;                     ///< of the square that is good [-]
};
WindowMap window_map(const WindowLattice& lattice, const LatticeEdges& edges);

bool is_inside(const WindowMap& map, const Point& at);

/// To the nearest edge, bad shot or end of the range, in shares of the ranges [-].
double clearance(const WindowMap& map, const Point& at, std::span<const WindowShot> also_bad);

struct RoomySetting {
  Point at;
  double clearance = 0.0;
};
/// The setting with the most room to edges, to ends of the range and to further shots that turned
/// out bad; empty when nothing is good.
std::optional<RoomySetting> roomiest_setting(const WindowMap& map,
                                             std::span<const WindowShot> also_bad);

}  // namespace firstshot
