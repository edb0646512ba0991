// Keys that give meaning to a drawing: its layers, and the names of parts found in it.
#include "io/case_keys.hpp"

namespace firstshot {
namespace {

using D = Dimension;
using K = ValueKind;

constexpr double kLargest = 10.0;                           // of a frame [m]; no mould is larger
constexpr Range kMeasure = {1e-6, kLargest, false, false};  // [m]; below 1 um nothing is cut
constexpr Range kThickness = {1e-6, 0.1, false, false};     // [m], as in a layout

std::vector<KeySpec> layer_keys() {
  return {
      {.path = "layer",
       .kind = K::tables,
       .help = "What a layer of the drawing means. Every layer that holds something needs an "
               "entry."},
      {.path = "layer[].name",
       .kind = K::text,
       .required = true,
       .help = "Name of the layer; capital letters make no difference."},
      {.path = "layer[].role",
       .kind = K::word,
       .required = true,
       .words = {"part", "hole", "step", "runner", "gate", "sprue", "ignore"},
       .help = "part: closed outlines with a thickness, outlines inside them are openings. hole: "
               "openings. step: regions of another thickness. runner: centre lines with a "
               "section, or outlines with a thickness. gate: straight lines from runner to part "
               "with width and depth, or outlines with a thickness. sprue: one circle or point."},
      {.path = "layer[].thickness",
       .dimension = D::length,
       .range = kThickness,
       .help = "Full gap between the mould halves in the outlines of this layer."},
      {.path = "layer[].visible",
       .kind = K::flag,
       .default_value = "false",
       .help = "Whether the customer sees a face of the parts of this layer."},
      {.path = "layer[].width",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Width of the gates along the rim of the part."},
      {.path = "layer[].depth",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Depth of the gates along the draw."},
      {.path = "layer[].length",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Length of the sprue from nozzle to foot."},
      {.path = "layer[].nozzle_diameter",
       .dimension = D::length,
       .range = kMeasure,
       .help = "Diameter of the sprue at the nozzle."},
      {.path = "layer[].foot_diameter",
       .dimension = D::length,
       .range = kMeasure,
       .default_note = "that of the circle drawn",
       .help = "Diameter of the sprue at the frame."},
  };
}

std::vector<KeySpec> mark_keys() {
  return {
      {.path = "part",
       .kind = K::tables,
       .help = "Names and marks a part that is found in a drawing or solid. Parts without such an "
               "entry are numbered row by row from the top: \"part-1\", \"part-2\"."},
      {.path = "part[].name",
       .kind = K::text,
       .required = true,
       .help = "Name of the part; no two parts may share one."},
      {.path = "part[].inside",
       .kind = K::point,
       .dimension = D::length,
       .range = between(-kLargest, kLargest),
       .required = true,
       .help = "A point inside the part, not in a hole, in the unit of the geometry."},
      {.path = "part[].visible",
       .kind = K::flag,
       .default_value = "false",
       .help = "Whether the customer sees a face of it."},
  };
}

}  // namespace

std::vector<KeySpec> drawing_keys() {
  std::vector<KeySpec> keys = layer_keys();
  for (auto section : {section_keys("layer[].section", false), mark_keys()})
    keys.insert(keys.end(), section.begin(), section.end());
  return keys;
}

}  // namespace firstshot
