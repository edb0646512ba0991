// Layout tables → mesh/layout values. Kinds, units and ranges come from the table of keys; here are
// the rules that tie several keys together: names, sections, images.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "io/case.hpp"
#include "io/case_table.hpp"
#include "io/layout_image.hpp"

namespace firstshot {
namespace {

constexpr std::size_t kMostCorners = 1000000;  // of all areas, images included
constexpr double kLargestDistance =
    10.0;  // of any point from the origin [m], as in the table of keys
constexpr double kDegree = std::numbers::pi / 180.0;

// Names given so far, with the line of each, so that no two entries share one.
class Names {
 public:
  std::string take(const CaseTable& table) {
    const std::string name = table.text("name");
    const auto [it, added] = origin_.emplace(name, table.origin());
    if (!added)
      throw table.error("name", fmt::format("the name \"{}\" is taken (at {})", name, it->second));
    return name;
  }

 private:
  std::map<std::string, std::string> origin_;
};

Shape read_shape(const CaseTable& table, const std::string& unit) {
  if (table.has("polygon")) return PolygonShape{table.corners("polygon", unit)};
  if (table.has("circle")) {
    const CaseTable circle = table.table("circle");
    return CircleShape{circle.point("centre", unit), circle.quantity("diameter")};
  }
  const CaseTable rectangle = table.table("rectangle");
  RectangleShape shape;
  shape.centre = rectangle.point("centre", unit);
  const Point size = rectangle.point("size", unit);
  shape.width = size.x;
  shape.height = size.y;
  shape.corner_radius = rectangle.quantity("radius");
  shape.turn = rectangle.quantity("turn");
  if (2.0 * shape.corner_radius > std::min(size.x, size.y)) {
    throw rectangle.error(
        "radius", fmt::format("the radius is more than half the shorter side; allowed: at most {}",
                              format_quantity(std::min(size.x, size.y) / 2.0, Dimension::length)));
  }
  return shape;
}

Role role_of(const std::string& word) {
  if (word == "runner") return Role::runner;
  if (word == "gate") return Role::gate;
  return Role::part;
}

Area read_part(const CaseTable& table, const std::string& unit, Names& names) {
  Area area;
  area.name = names.take(table);
  area.role = role_of(table.word("role"));
  area.thickness = table.quantity("thickness");
  area.visible = table.flag("visible");
  area.outline = read_shape(table, unit);
  area.origin = table.origin();
  for (const CaseTable& hole : table.tables("hole")) area.holes.push_back(read_shape(hole, unit));
  for (const CaseTable& step : table.tables("step")) {
    area.steps.push_back({read_shape(step, unit), step.quantity("thickness"), step.origin()});
  }
  return area;
}

std::size_t corner_count(const Shape& shape) {
  const auto* polygon = std::get_if<PolygonShape>(&shape);
  return polygon == nullptr ? 1 : polygon->corners.size();
}

// An image can be moved off the place where any mould ends.
bool lies_in_reach(const Shape& shape) {
  const auto near = [](const Point& p) {
    return std::abs(p.x) <= kLargestDistance && std::abs(p.y) <= kLargestDistance;
  };
  if (const auto* circle = std::get_if<CircleShape>(&shape)) return near(circle->centre);
  if (const auto* rectangle = std::get_if<RectangleShape>(&shape)) return near(rectangle->centre);
  const auto& corners = std::get<PolygonShape>(shape).corners;
  return std::all_of(corners.begin(), corners.end(),
                     [near](const Corner& c) { return near(c.at); });
}

bool lies_in_reach(const Area& area) {
  return lies_in_reach(area.outline) &&
         std::all_of(area.holes.begin(), area.holes.end(),
                     [](const Shape& s) { return lies_in_reach(s); }) &&
         std::all_of(area.steps.begin(), area.steps.end(),
                     [](const Step& s) { return lies_in_reach(s.outline); });
}

std::size_t corner_count(const Area& area) {
  std::size_t n = corner_count(area.outline);
  for (const Shape& hole : area.holes) n += corner_count(hole);
  for (const Step& step : area.steps) n += corner_count(step.outline);
  return n;
}

// Areas read so far, found by name.
class NamedAreas {
 public:
  /// @throws CaseError too many corners in all
  void add(Area area, const CaseTable& entry) {
    corners_ += corner_count(area);
    if (corners_ > kMostCorners) {
      throw entry.error("name",
                        fmt::format("the layout has more than {} corners in all", kMostCorners));
    }
    index_.emplace(area.name, areas_.size());
    areas_.push_back(std::move(area));
  }

  const Area& original_of(const CaseTable& image) const {
    const std::string of = image.text("of");
    if (const auto it = index_.find(of); it != index_.end()) return areas_[it->second];
    std::vector<std::string> known;
    for (const Area& area : areas_) known.push_back(area.name);
    const std::string near = nearest_word(of, known);
    throw image.error(
        "of", fmt::format("there is no part or earlier image \"{}\"{}", of,
                          near.empty() ? "" : fmt::format("; the nearest name is \"{}\"", near)));
  }

  std::vector<Area> take() { return std::move(areas_); }

 private:
  std::vector<Area> areas_;
  std::map<std::string, std::size_t> index_;
  std::size_t corners_ = 0;
};

Area read_image(const CaseTable& table, const std::string& unit, const NamedAreas& areas,
                Names& names) {
  ImageMotion motion;
  if (table.has("mirror")) {
    const std::vector<Point> line = table.points("mirror", unit);
    motion.mirror = {line[0], line[1]};
  }
  if (table.has("turn")) {
    const CaseTable turn = table.table("turn");
    motion.turn_degrees = turn.quantity("angle");
    motion.about = turn.point("about", unit);
  }
  if (table.has("move")) motion.move = table.point("move", unit);
  Area area = image_of(areas.original_of(table), motion);
  area.name = names.take(table);
  area.visible = table.flag_if("visible").value_or(area.visible);
  area.origin = table.origin();
  if (!lies_in_reach(area)) {
    throw table.error(
        "move", fmt::format("the copy lies more than {} m from the origin", kLargestDistance));
  }
  return area;
}

// Measures of a section at the start (prefix "") or at the end (prefix "end_", falling back to the
// start).
class SectionReader {
 public:
  explicit SectionReader(const CaseTable& table) : table_(table) {}

  std::pair<Section, Section> read() const {
    const std::string kind = table_.word("kind");
    const bool round = kind == "round" || kind == "half_round";
    refuse(kind, round
                     ? std::vector<std::string>{"width", "end_width", "depth", "end_depth", "draft"}
                     : std::vector<std::string>{"diameter", "end_diameter"});
    if (kind == "rectangle") refuse(kind, {"draft"});
    return {section(kind, false), section(kind, true)};
  }

 private:
  void refuse(const std::string& kind, const std::vector<std::string>& keys) const {
    for (const std::string& key : keys) {
      if (table_.has(key))
        throw table_.error(key, fmt::format("a section of kind \"{}\" has no {}", kind, key));
    }
  }

  double measure(const std::string& key, bool at_end) const {
    if (at_end) {
      if (const auto value = table_.quantity_if("end_" + key)) return *value;
    }
    return table_.quantity(key);
  }

  Section section(const std::string& kind, bool at_end) const {
    if (kind == "round") return RoundSection{measure("diameter", at_end)};
    if (kind == "half_round") return HalfRoundSection{measure("diameter", at_end)};
    const double width = measure("width", at_end);
    const double depth = measure("depth", at_end);
    if (kind == "rectangle") return RectangleSection{width, depth};
    const double draft = table_.quantity("draft");
    if (2.0 * depth * std::tan(draft * kDegree) >= width) {
      throw table_.error(
          "draft", fmt::format("with this draft the sides of the trapezoid meet above its bottom; "
                               "allowed: less than {:.1f} deg",
                               std::atan(width / 2.0 / depth) / kDegree));
    }
    return TrapezoidSection{width, depth, draft};
  }

  const CaseTable& table_;
};

RunnerLine read_runner(const CaseTable& table, const std::string& unit, Names& names) {
  RunnerLine runner;
  runner.name = names.take(table);
  runner.points = table.points("points", unit);
  std::tie(runner.start, runner.end) = SectionReader(table.table("section")).read();
  runner.origin = table.origin();
  return runner;
}

GateLine read_gate(const CaseTable& table, const std::string& unit, Names& names) {
  GateLine gate;
  gate.name = names.take(table);
  gate.from = table.point("from", unit);
  gate.to = table.point("to", unit);
  gate.width = table.quantity("width");
  gate.depth = table.quantity("depth");
  gate.origin = table.origin();
  if (gate.from == gate.to)
    throw table.error("to", "the gate has no length: \"from\" and \"to\" are the same point");
  return gate;
}

Sprue read_sprue(const CaseTable& table, const std::string& unit) {
  return {table.point("at", unit), table.quantity("length"), table.quantity("nozzle_diameter"),
          table.quantity("foot_diameter"), table.origin()};
}

std::vector<Area> read_areas(const CaseTable& table, const std::string& unit) {
  NamedAreas areas;
  Names names;
  for (const CaseTable& part : table.tables("part")) areas.add(read_part(part, unit, names), part);
  for (const CaseTable& image : table.tables("image")) {
    areas.add(read_image(image, unit, areas, names), image);
  }
  std::vector<Area> all = areas.take();
  if (all.empty())
    throw table.error("part", "the layout has no part; at least one [[part]] is needed");
  return all;
}

}  // namespace

std::vector<PartMark> read_part_marks(const CaseTable& root, const std::string& unit) {
  std::vector<PartMark> marks;
  Names names;
  for (const CaseTable& table : root.tables("part")) {
    const std::string name = names.take(table);
    marks.push_back({name, table.point("inside", unit), table.flag("visible"), table.origin()});
  }
  return marks;
}

std::pair<Section, Section> read_section(const CaseTable& section) {
  return SectionReader(section).read();
}

Layout read_layout(const CaseTable& table) {
  const std::string unit = table.word("unit");
  Layout layout;
  layout.areas = read_areas(table, unit);
  Names runner_names;
  for (const CaseTable& runner : table.tables("runner")) {
    layout.runners.push_back(read_runner(runner, unit, runner_names));
  }
  Names gate_names;
  for (const CaseTable& gate : table.tables("gate"))
    layout.gates.push_back(read_gate(gate, unit, gate_names));
  if (table.has("sprue")) layout.sprue = read_sprue(table.table("sprue"), unit);
  return layout;
}

}  // namespace firstshot
