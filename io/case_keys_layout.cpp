// Keys of the parametric layout, in a file of its own or in the table [layout] of the case.
#include <numbers>

#include "io/case_keys.hpp"

namespace firstshot {
namespace {

using D = Dimension;
using K = ValueKind;

constexpr double kLargest = 10.0;                              // of a frame [m]; no mould is larger
constexpr Range kPlace = {-kLargest, kLargest, false, false};  // [m]
constexpr Range kMeasure = {1e-6, kLargest, false, false};     // [m]; below 1 um nothing is cut
constexpr Range kThickness = {1e-6, 0.1, false, false};  // [m]; beyond 100 mm this is no thin wall
constexpr Range kDraft = {0.0, 60.0, false, false};      // [deg]

constexpr double kTurn = 2.0 * std::numbers::pi;  // [rad]

// The three ways to draw an outline, below `parent`.
std::vector<KeySpec> shape_keys(const std::string& parent) {
  const std::string circle = parent + ".circle";
  const std::string rectangle = parent + ".rectangle";
  return {
      {.path = parent + ".polygon",
       .kind = K::polygon,
       .dimension = D::length,
       .range = kPlace,
       .help = "Outline as corners [x, y]. A third number bends the side that starts there into an "
               "arc: "
               "tan(angle/4), positive counter-clockwise."},
      {.path = circle, .kind = K::table, .help = "Outline as a circle."},
      {.path = circle + ".centre",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "Centre of the circle."},
      {.path = circle + ".diameter",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Diameter of the circle."},
      {.path = rectangle, .kind = K::table, .help = "Outline as a rectangle."},
      {.path = rectangle + ".centre",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "Centre of the rectangle."},
      {.path = rectangle + ".size",
       .kind = K::extent,
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Width and height before turning."},
      {.path = rectangle + ".radius",
       .dimension = D::length,
       .range = {0.0, kLargest},
       .default_value = "0 mm",
       .help = "Radius of the corners, at most half the shorter side."},
      {.path = rectangle + ".turn",
       .dimension = D::angle,
       .range = {-kTurn, kTurn},
       .default_value = "0 deg",
       .help = "Turn about the centre, counter-clockwise."},
  };
}

std::vector<KeySpec> part_keys() {
  std::vector<KeySpec> keys = {
      {.path = "layout.part",
       .kind = K::tables,
       .help = "A flat piece that is meshed with triangles; as a rule one cavity."},
      {.path = "layout.part[].name",
       .kind = K::text,
       .required = true,
       .help = "Name of the part; no two parts or images may share one."},
      {.path = "layout.part[].thickness",
       .dimension = D::length,
       .range = kThickness,
       .required = true,
       .help = "Wall thickness: the full gap between the mould halves."},
      {.path = "layout.part[].visible",
       .kind = K::flag,
       .default_value = "false",
       .help = "Whether the customer sees a face of it."},
      {.path = "layout.part[].role",
       .kind = K::word,
       .default_value = "part",
       .words = {"part", "runner", "gate"},
       .help = "What the piece is for: a part, or a runner or gate drawn as an area."},
  };
  auto add = [&keys](const std::vector<KeySpec>& more) {
    keys.insert(keys.end(), more.begin(), more.end());
  };
  add(shape_keys("layout.part[]"));
  add({{.path = "layout.part[].hole", .kind = K::tables, .help = "An opening in the part."}});
  add(shape_keys("layout.part[].hole[]"));
  add({{.path = "layout.part[].step",
        .kind = K::tables,
        .help = "A region of other thickness inside the part, such as a ledge or a thin panel."},
       {.path = "layout.part[].step[].thickness",
        .dimension = D::length,
        .range = kThickness,
        .required = true,
        .help = "Thickness in this region."}});
  add(shape_keys("layout.part[].step[]"));
  return keys;
}

std::vector<KeySpec> image_keys() {
  return {
      {.path = "layout.image",
       .kind = K::tables,
       .help = "A copy of a part with its holes and steps: first mirrored, then turned, then "
               "moved. Gates and "
               "runners are not copied."},
      {.path = "layout.image[].of",
       .kind = K::text,
       .required = true,
       .help = "Name of the part to copy; an image that stands further up may be copied too."},
      {.path = "layout.image[].name",
       .kind = K::text,
       .required = true,
       .help = "Name of the copy; no two parts or images may share one."},
      {.path = "layout.image[].mirror",
       .kind = K::line,
       .dimension = D::length,
       .range = kPlace,
       .help = "Two points of the line to mirror in."},
      {.path = "layout.image[].turn",
       .kind = K::table,
       .help = "Turn of the copy, after mirroring."},
      {.path = "layout.image[].turn.angle",
       .dimension = D::angle_in_degrees,
       .range = {-360.0, 360.0},
       .required = true,
       .help = "Angle, counter-clockwise."},
      {.path = "layout.image[].turn.about",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "Point that stays in place."},
      {.path = "layout.image[].move",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .help = "Shift of the copy, last."},
      {.path = "layout.image[].visible",
       .kind = K::flag,
       .default_note = "as the original",
       .help = "Whether the customer sees a face of the copy."},
  };
}

std::vector<KeySpec> runner_keys() {
  std::vector<KeySpec> keys = {
      {.path = "layout.runner",
       .kind = K::tables,
       .help = "A runner drawn as a line with a section."},
      {.path = "layout.runner[].name",
       .kind = K::text,
       .required = true,
       .help = "Name of the runner; no two runners may share one."},
      {.path = "layout.runner[].points",
       .kind = K::points,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "Corners of the line, at least two, from the side of the sprue outwards."},
  };
  const std::vector<KeySpec> section = section_keys("layout.runner[].section", true);
  keys.insert(keys.end(), section.begin(), section.end());
  return keys;
}

std::vector<KeySpec> gate_and_sprue_keys() {
  return {
      {.path = "layout.gate",
       .kind = K::tables,
       .help = "A gate from a runner to the rim of a part."},
      {.path = "layout.gate[].name",
       .kind = K::text,
       .required = true,
       .help = "Name of the gate; no two gates may share one."},
      {.path = "layout.gate[].from",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "Start, on a runner (or on the foot of the sprue, or on the rim of another piece)."},
      {.path = "layout.gate[].to",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "End, on the outline of a part; snapped to it within 0.05 mm."},
      {.path = "layout.gate[].width",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Width along the rim of the part."},
      {.path = "layout.gate[].depth",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Depth along the draw."},
      {.path = "layout.sprue",
       .kind = K::table,
       .help = "Conical inlet along the draw from the nozzle to the frame."},
      {.path = "layout.sprue.at",
       .kind = K::point,
       .dimension = D::length,
       .range = kPlace,
       .required = true,
       .help = "Place of its foot."},
      {.path = "layout.sprue.length",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Length from nozzle to foot."},
      {.path = "layout.sprue.nozzle_diameter",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Diameter at the nozzle."},
      {.path = "layout.sprue.foot_diameter",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Diameter at the frame."},
  };
}

}  // namespace

std::vector<KeySpec> section_keys(const std::string& section, bool needed) {
  return {
      {.path = section,
       .kind = K::table,
       .required = needed,
       .help = "Cross section. With an end_ measure the runner tapers from its first point to its "
               "last."},
      {.path = section + ".kind",
       .kind = K::word,
       .required = true,
       .words = {"round", "half_round", "trapezoid", "rectangle"},
       .help = "round and half_round have a diameter; trapezoid (wide side in the parting plane) "
               "and rectangle "
               "have width and depth."},
      {.path = section + ".diameter",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Diameter of a round or half round section."},
      {.path = section + ".end_diameter",
       .dimension = D::length,
       .range = kMeasure,
       .default_note = "no taper",
       .help = "Diameter at the last point."},
      {.path = section + ".width",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Width in the parting plane of a trapezoid or rectangle."},
      {.path = section + ".end_width",
       .dimension = D::length,
       .range = kMeasure,
       .default_note = "no taper",
       .help = "Width at the last point."},
      {.path = section + ".depth",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Depth of a trapezoid or rectangle."},
      {.path = section + ".end_depth",
       .dimension = D::length,
       .range = kMeasure,
       .default_note = "no taper",
       .help = "Depth at the last point."},
      {.path = section + ".draft",
       .dimension = D::angle_in_degrees,
       .range = kDraft,
       .default_value = "10 deg",
       .help = "Slope of each side of a trapezoid from the draw direction."},
  };
}

std::vector<KeySpec> layout_keys() {
  std::vector<KeySpec> keys = {
      {.path = "layout",
       .kind = K::table,
       .help = "The frame as drawn. The same keys without the word layout make a layout file."},
      {.path = "layout.unit",
       .kind = K::word,
       .required = true,
       .words = {"mm", "cm", "m", "um", "in"},
       .help = "Unit of all coordinates, which are bare numbers."},
  };
  for (auto section : {part_keys(), image_keys(), runner_keys(), gate_and_sprue_keys()}) {
    keys.insert(keys.end(), section.begin(), section.end());
  }
  return keys;
}

std::vector<KeyGroup> layout_groups() {
  const std::vector<std::string> shapes = {"polygon", "circle", "rectangle"};
  return {{"layout.part[]", shapes, true},
          {"layout.part[].hole[]", shapes, true},
          {"layout.part[].step[]", shapes, true}};
}

}  // namespace firstshot
