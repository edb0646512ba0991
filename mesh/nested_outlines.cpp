#include "mesh/nested_outlines.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/part_names.hpp"

namespace firstshot {
namespace {

constexpr std::size_t kMostOutlines = 10000;  // a large frame has some hundred
constexpr std::size_t kNone = static_cast<std::size_t>(-1);

// An outline with what is needed to see where it lies.
struct Ring {
  const DrawnOutline* drawn = nullptr;
  std::vector<Point> polygon;
  Box box;
  double area = 0.0;
  std::size_t parent = kNone;  ///< smallest ring around it, steps left out
  bool is_hole = false;
  std::size_t area_index = kNone;  ///< of the area it became, or lies in
};

template <class Meaning>
const Meaning* meaning_of(const Ring& ring) {
  return std::get_if<Meaning>(&ring.drawn->rule->meaning);
}

Box box_of(const std::vector<Point>& polygon) {
  Box box;
  for (const Point p : polygon) box.add(p);
  return box;
}

Ring ring_of(const DrawnOutline& drawn) {
  Ring ring;
  ring.drawn = &drawn;
  ring.polygon = closed_line(drawn.shape, drawing_arc_rule).points;
  ring.box = box_of(ring.polygon);
  ring.area = std::abs(signed_area(ring.polygon));
  return ring;
}

// Whether most corners of the inner ring lie inside the outer one; rings may touch.
bool lies_in(const Ring& inner, const Ring& outer) {
  constexpr std::size_t kSamples = 32;
  constexpr double kTouch = 1e-6;  // [m]
  if (!outer.box.holds(inner.box.low, kTouch) || !outer.box.holds(inner.box.high, kTouch))
    return false;
  const std::size_t n = inner.polygon.size();
  const std::size_t step = std::max<std::size_t>(1, n / kSamples);
  int inside = 0;
  int all = 0;
  for (std::size_t i = 0; i < n; i += step) {
    const Point middle = between(inner.polygon[i], inner.polygon[(i + 1) % n], 0.5);
    if (rim_distance(outer.polygon, middle) <= kTouch) continue;
    ++all;
    if (contains(outer.polygon, middle)) ++inside;
  }
  return 2 * inside > all;
}

[[noreturn]] void fail(const Ring& ring, const std::string& what) {
  const Point at = ring.polygon.front();
  throw GeometryError(ring.drawn->origin + ": " + what, at.x, at.y);
}

// Rings from large to small, each with its parent.
std::vector<Ring> rings_of(const std::vector<DrawnOutline>& outlines) {
  std::vector<Ring> rings;
  rings.reserve(outlines.size());
  for (const DrawnOutline& drawn : outlines) rings.push_back(ring_of(drawn));
  std::stable_sort(rings.begin(), rings.end(),
                   [](const Ring& a, const Ring& b) { return a.area > b.area; });
  for (std::size_t i = 0; i < rings.size(); ++i) {
    for (std::size_t j = i; j-- > 0 && rings[i].parent == kNone;) {
      if (meaning_of<StepLayer>(rings[j]) == nullptr && lies_in(rings[i], rings[j]))
        rings[i].parent = j;
    }
  }
  return rings;
}

// Puts rings into areas, from the outside to the inside.
class Nesting {
 public:
  explicit Nesting(std::vector<Ring> rings) : rings_(std::move(rings)) {}

  std::vector<Area> run() {
    for (Ring& ring : rings_) {
      const Ring* parent = ring.parent == kNone ? nullptr : &rings_[ring.parent];
      const bool in_material = parent != nullptr && !parent->is_hole;
      if (meaning_of<AreaLayer>(ring) != nullptr) {
        add_area_or_opening(ring, in_material ? parent : nullptr);
      } else if (!in_material) {
        fail(ring, std::string(meaning_of<HoleLayer>(ring) != nullptr ? "a hole" : "a step") +
                       (parent == nullptr ? " lies outside of all parts" : " lies in a hole"));
      } else if (meaning_of<HoleLayer>(ring) != nullptr) {
        add_hole(ring, *parent);
      } else {
        Area& area = areas_[parent->area_index];
        const StepLayer& step = *meaning_of<StepLayer>(ring);
        area.steps.push_back({ring.drawn->shape, step.thickness, ring.drawn->origin});
      }
    }
    return std::move(areas_);
  }

 private:
  void add_hole(Ring& ring, const Ring& parent) {
    ring.is_hole = true;
    ring.area_index = parent.area_index;
    areas_[parent.area_index].holes.push_back(ring.drawn->shape);
  }

  void add_area_or_opening(Ring& ring, const Ring* around) {
    if (around != nullptr) {
      if (around->drawn->rule == ring.drawn->rule) return add_hole(ring, *around);
      fail(ring, "an outline of layer \"" + ring.drawn->rule->name +
                     "\" lies inside one of layer \"" + around->drawn->rule->name +
                     "\"; a region of another thickness needs the role \"step\"");
    }
    const AreaLayer& layer = *meaning_of<AreaLayer>(ring);
    ring.area_index = areas_.size();
    Area area;
    area.role = layer.role;
    area.outline = ring.drawn->shape;
    area.thickness = layer.thickness;
    area.visible = layer.visible;
    area.origin = ring.drawn->origin;
    areas_.push_back(std::move(area));
  }

  std::vector<Ring> rings_;
  std::vector<Area> areas_;
};

// Holes and steps too, so that the order of the file's entries decides nothing.
void sort_by_place(Area& area) {
  std::vector<Point> places;
  for (const Shape& hole : area.holes) places.push_back(middle_of(hole));
  std::vector<Shape> holes;
  for (const std::size_t i : reading_order(places)) holes.push_back(area.holes[i]);
  area.holes = std::move(holes);
  places.clear();
  for (const Step& step : area.steps) places.push_back(middle_of(step.outline));
  std::vector<Step> steps;
  for (const std::size_t i : reading_order(places)) steps.push_back(area.steps[i]);
  area.steps = std::move(steps);
}

}  // namespace

Point middle_of(const Shape& shape) {
  const Box box = box_of(closed_line(shape, drawing_arc_rule).points);
  return between(box.low, box.high, 0.5);
}

bool contains(const Area& area, Point p) {
  const auto holds = [p](const Shape& shape) {
    return contains(closed_line(shape, drawing_arc_rule).points, p);
  };
  return holds(area.outline) && std::none_of(area.holes.begin(), area.holes.end(), holds);
}

std::vector<Area> nest_outlines(const std::vector<DrawnOutline>& outlines) {
  if (outlines.size() > kMostOutlines) {
    const Point at = place_of(outlines[kMostOutlines].shape);
    throw GeometryError("the drawing has " + std::to_string(outlines.size()) +
                            " closed outlines; allowed: at most " + std::to_string(kMostOutlines),
                        at.x, at.y);
  }
  std::vector<Area> areas = Nesting(rings_of(outlines)).run();
  std::vector<Point> places;
  places.reserve(areas.size());
  for (const Area& area : areas) places.push_back(middle_of(area.outline));
  std::vector<Area> sorted;
  for (const std::size_t i : reading_order(places)) {
    sort_by_place(areas[i]);
    sorted.push_back(std::move(areas[i]));
  }
  return sorted;
}

}  // namespace firstshot
