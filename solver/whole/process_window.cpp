#include "solver/whole/process_window.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace firstshot {
namespace {

struct ClassWords {
  const char* name;
  const char* words;
};
constexpr std::array<ClassWords, shot_classes.size()> class_words = {{
    {"fills", "fills"},
    {"short", "short"},
    {"too_cold", "too cold"},
    {"over_pressure", "over pressure"},
    {"over_clamp", "over clamp"},
    {"scorch", "scorch"},
    {"no_result", "no result"},
}};

Point between(const Point& a, const Point& b, double t) {
  return {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
}

/// The load that a class is about; NaN for classes without one.
double load_of(const WindowShot& shot, ShotClass kind) {
  switch (kind) {
    case ShotClass::over_pressure:
      return shot.pressure;
    case ShotClass::over_clamp:
      return shot.clamp;
    case ShotClass::scorch:
      return shot.gas_temperature;
    default:
      return unknown_load;
  }
}

double distance_to(const OutlineSegment& s, const Point& p) {
  const double dx = s.b.x - s.a.x, dy = s.b.y - s.a.y, length = dx * dx + dy * dy;
  double t = length > 0.0 ? ((p.x - s.a.x) * dx + (p.y - s.a.y) * dy) / length : 0.0;
  t = std::clamp(t, 0.0, 1.0);
  return std::hypot(p.x - s.a.x - t * dx, p.y - s.a.y - t * dy);
}

double area_of(const std::vector<Point>& polygon) {
  double twice = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Point &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
    twice += a.x * b.y - b.x * a.y;
  }
  return 0.5 * std::abs(twice);
}

constexpr std::size_t sides = 4;

/// Corners of a cell counter-clockwise, and the edge on the side that follows each, if any.
struct Cell {
  std::array<const WindowShot*, sides> corner{};
  std::array<const WindowEdge*, sides> edge{};
  std::size_t good() const {
    return static_cast<std::size_t>(
        std::count_if(corner.begin(), corner.end(), [](const WindowShot* s) { return s->good(); }));
  }
};

void add_line(WindowMap& map, const WindowEdge& from, const WindowEdge& to) {
  map.outline.push_back({from.at(), to.at(), from.bad.kind});
}

/// Good corners across from each other: each keeps a triangle of its own.
void add_apart(const Cell& cell, WindowMap& map) {
  for (std::size_t k = 0; k < sides; ++k) {
    if (!cell.corner[k]->good()) continue;
    const WindowEdge &before = *cell.edge[(k + sides - 1) % sides], &after = *cell.edge[k];
    map.areas.push_back({before.at(), cell.corner[k]->at, after.at()});
    add_line(map, before, after);
  }
}

void add_cell(const Cell& cell, WindowMap& map) {
  if (cell.good() == 0) return;
  if (cell.good() == 2 && cell.corner[0]->good() == cell.corner[2]->good())
    return add_apart(cell, map);
  std::vector<Point> area;
  std::vector<const WindowEdge*> crossed;
  for (std::size_t k = 0; k < sides; ++k) {
    if (cell.corner[k]->good()) area.push_back(cell.corner[k]->at);
    if (cell.edge[k] == nullptr) continue;
    area.push_back(cell.edge[k]->at());
    crossed.push_back(cell.edge[k]);
  }
  map.areas.push_back(std::move(area));
  if (crossed.size() == 2) add_line(map, *crossed[0], *crossed[1]);
}

}  // namespace

const char* shot_class_name(ShotClass kind) {
  return class_words[static_cast<std::size_t>(kind)].name;
}
const char* shot_class_words(ShotClass kind) {
  return class_words[static_cast<std::size_t>(kind)].words;
}

Point WindowEdge::middle() const { return between(good.at, bad.at, 0.5); }

void WindowEdge::narrow(const WindowShot& shot) { (shot.good() ? good : bad) = shot; }

Point WindowEdge::at() const {
  const double inside = load_of(good, bad.kind), outside = load_of(bad, bad.kind);
  const double t = (bad.limit - inside) / (outside - inside);
  return between(good.at, bad.at, t >= 0.0 && t <= 1.0 ? t : 0.5);  // also where t is no number
}

std::vector<Point> lattice_points(std::size_t columns, std::size_t rows) {
  std::vector<Point> points;
  for (std::size_t r = 0; r < rows; ++r)
    for (std::size_t c = 0; c < columns; ++c)
      points.push_back({static_cast<double>(c) / static_cast<double>(columns - 1),
                        static_cast<double>(r) / static_cast<double>(rows - 1)});
  return points;
}

LatticeEdges edges_of(const WindowLattice& lattice) {
  LatticeEdges out;
  out.right.assign(lattice.shots.size(), -1);
  out.above = out.right;
  const auto add = [&](std::size_t from, std::size_t to, std::vector<std::ptrdiff_t>& places) {
    const WindowShot &a = lattice.shots[from], &b = lattice.shots[to];
    if (a.good() == b.good()) return;
    places[from] = static_cast<std::ptrdiff_t>(out.edges.size());
    out.edges.push_back(a.good() ? WindowEdge{a, b} : WindowEdge{b, a});
  };
  for (std::size_t i = 0; i < lattice.shots.size(); ++i)
    if ((i + 1) % lattice.columns != 0) add(i, i + 1, out.right);
  for (std::size_t i = 0; i + lattice.columns < lattice.shots.size(); ++i)
    add(i, i + lattice.columns, out.above);
  return out;
}

WindowMap window_map(const WindowLattice& lattice, const LatticeEdges& edges) {
  WindowMap map;
  const auto edge = [&](std::ptrdiff_t place) {
    return place < 0 ? nullptr : &edges.edges[static_cast<std::size_t>(place)];
  };
  for (std::size_t r = 0; r + 1 < lattice.rows; ++r)
    for (std::size_t c = 0; c + 1 < lattice.columns; ++c) {
      const std::size_t i = r * lattice.columns + c, up = i + lattice.columns;
      const Cell cell = {
          {&lattice.shots[i], &lattice.shots[i + 1], &lattice.shots[up + 1], &lattice.shots[up]},
          {edge(edges.right[i]), edge(edges.above[i + 1]), edge(edges.right[up]),
           edge(edges.above[i])}};
      add_cell(cell, map);
    }
  for (const auto& area : map.areas) map.share += area_of(area);
  return map;
}

bool is_inside(const WindowMap& map, const Point& at) {
  constexpr double rounding = 1e-12;
  return std::any_of(map.areas.begin(), map.areas.end(), [&](const std::vector<Point>& area) {
    for (std::size_t i = 0; i < area.size(); ++i) {
      const Point &a = area[i], &b = area[(i + 1) % area.size()];
      if ((b.x - a.x) * (at.y - a.y) - (b.y - a.y) * (at.x - a.x) < -rounding) return false;
    }
    return true;
  });
}

double clearance(const WindowMap& map, const Point& at, std::span<const WindowShot> also_bad) {
  double room = std::min({at.x, 1.0 - at.x, at.y, 1.0 - at.y});
  for (const WindowShot& shot : also_bad)
    room = std::min(room, std::hypot(at.x - shot.at.x, at.y - shot.at.y));
  for (const OutlineSegment& s : map.outline) room = std::min(room, distance_to(s, at));
  return room;
}

std::optional<RoomySetting> roomiest_setting(const WindowMap& map,
                                             std::span<const WindowShot> also_bad) {
  constexpr int raster = 200;  // points along each axis
  std::optional<RoomySetting> best;
  for (int j = 0; j <= raster; ++j)
    for (int i = 0; i <= raster; ++i) {
      const Point p{static_cast<double>(i) / raster, static_cast<double>(j) / raster};
      const double room = clearance(map, p, also_bad);
      if ((!best || room > best->clearance) && is_inside(map, p)) best = RoomySetting{p, room};
    }
  return best;
}

}  // namespace firstshot
