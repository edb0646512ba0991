// All outlines, holes, steps and round mouths of a layout as one graph of straight sides that meet
// only at their ends. Pieces that abut share points and sides, so that the mesh is joined across
// them.
//
// Drawings are rounded, so a corner may miss the side it should lie on by a rounding. Points closer
// than `snap_tolerance` become one; a side with a point that close is led through that point.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "mesh/layout.hpp"
#include "mesh/outline.hpp"

namespace firstshot {

/// Largest gap that joins two outlines [m]. Well above the rounding of drawings written in mm with
/// three digits, well below any cutter.
inline constexpr double snap_tolerance = 5e-6;

enum class BorderKind { outline, hole, step, mouth };

/// A closed line of the graph, counter-clockwise.
struct BorderLoop {
  BorderKind kind = BorderKind::outline;
  int area = -1;            ///< index into Layout::areas, -1 for a mouth
  int item = -1;            ///< index of the hole or step in its area
  std::vector<int> points;  ///< (n) indices into Borders::points
  std::vector<int> side;    ///< (n) side of the drawn shape that each side is part of
};

struct Borders {
  std::vector<Point> points;  ///< [m]
  std::vector<BorderLoop> loops;
};

/// One loop that runs along a side, from `a` to `b` when forward.
struct SideUse {
  int loop = 0;
  bool forward = true;
};
/// A side of the graph with every loop that runs along it.
struct BorderSide {
  int a = 0, b = 0;  ///< a < b
  std::vector<SideUse> uses;
};

/// All sides, each once, in rising order of (a, b).
std::vector<BorderSide> border_sides(const Borders& borders);

/// Points to insert into a side: its number in border_sides, and point indices in order from a to
/// b.
struct Insertion {
  int side = 0;
  std::vector<int> points;
};
/// Leads every loop along the sides through the inserted points.
void insert_points(Borders& borders, const std::vector<BorderSide>& sides,
                   std::span<const Insertion> insertions);

/// The joined graph of a layout. `mouths` are closed lines on which mesh vertices must lie (rims of
/// round mouths); they may cross anything.
/// @throws GeometryError for an outline that crosses or touches itself, a hole or step that crosses
/// the outline of its part, and areas whose borders cross.
Borders draw_borders(const Layout& layout, const ArcRule& rule, std::span<const ClosedLine> mouths);

/// How a loop is called in messages.
std::string loop_name(const Layout& layout, const BorderLoop& loop);

}  // namespace firstshot
