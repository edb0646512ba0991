// Keys of the air in the mould and of its ways out.
#include "io/case_keys.hpp"

namespace firstshot {
namespace {

constexpr double kLargest = 10.0;                           // of a frame [m]; no mould is larger
constexpr Range kMeasure = {1e-6, kLargest, false, false};  // [m]; below 1 um nothing is cut

std::vector<KeySpec> vent_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "vent",
       .kind = K::tables,
       .help = "A slit in the parting line that lets air out: on the edge of a part, or at the end "
               "of a runner."},
      {.path = "vent[].at",
       .kind = K::places,
       .dimension = D::length,
       .range = {-kLargest, kLargest},
       .required = true,
       .help = "One place on an edge, [[x, y]], or the two ends of a line along it, in the unit of "
               "the layout; at most 0.5 mm from the edge."},
      {.path = "vent[].width",
       .dimension = D::length,
       .range = kMeasure,
       .required = true,
       .help = "Width along the edge; of a line, all its slits together."},
      {.path = "vent[].depth",
       .dimension = D::length,
       .range = {1e-6, 1e-2, false, false},
       .required = true,
       .help = "Depth of the slit. The material card says how deep a vent may be before melt gets "
               "out."},
      {.path = "vent[].land",
       .dimension = D::length,
       .range = kMeasure,
       .default_value = "1.5 mm",
       .help = "Length of the slit up to a deep channel or the edge of the mould. The default is "
               "common practice, no source."},
  };
}

std::vector<KeySpec> ejector_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "ejector",
       .kind = K::tables,
       .help = "A round pin that pushes the frame out. Air leaves through the gap around it until "
               "melt covers it."},
      {.path = "ejector[].name",
       .kind = K::text,
       .default_note = "\"pin 1\", \"pin 2\" in the order of the file",
       .help = "Name of the pin; no two pins may share one."},
      {.path = "ejector[].at",
       .kind = K::point,
       .dimension = D::length,
       .range = {-kLargest, kLargest},
       .required = true,
       .help = "Middle of the pin, in the unit of the geometry: on a part or on a runner."},
      {.path = "ejector[].diameter",
       .dimension = D::length,
       .range = {1e-4, 0.1, false, false},
       .required = true,
       .help = "Diameter of the pin's face."},
      {.path = "ejector[].clearance",
       .dimension = D::length,
       .range = {1e-7, 1e-3, false, false},
       .default_value = "5 um",
       .help = "Gap between pin and bore on each side, the pin in the middle. The default is that "
               "of a close running fit of a small pin, H7/g6 (from memory, unconfirmed); a pin "
               "that shall vent has more. The material card says how deep a gap may be before "
               "melt gets out."},
      {.path = "ejector[].land",
       .dimension = D::length,
       .range = kMeasure,
       .default_value = "8 mm",
       .help = "Length of that gap, from the cavity to where the bore is wider. The default is "
               "common practice, no source; a pin that shall vent is relieved after 2 to 3 mm."},
  };
}

}  // namespace

std::vector<KeySpec> air_keys() {
  using D = Dimension;
  using K = ValueKind;
  std::vector<KeySpec> keys = {
      {.path = "air",
       .kind = K::table,
       .help = "The air that the melt drives out: how it leaves, and when it is called hot."},
      {.path = "air.enabled",
       .kind = K::flag,
       .default_value = "true",
       .help = "Whether air is followed. If not, the melt meets the pressure of the room "
               "everywhere."},
      {.path = "air.parting_line_gap",
       .dimension = D::length,
       .range = {0.0, 1e-3},
       .default_value = "5 um",
       .help = "Gap through which air leaves all along the outer edges of parts and along runners. "
               "Two milled and fitted faces touch at their peaks and leave some micrometres "
               "(common practice, no source); the leak grows with the third power. 0 seals the "
               "mould."},
      {.path = "air.parting_line_land",
       .dimension = D::length,
       .range = {1e-5, 1.0},
       .default_value = "5 mm",
       .help = "Way of the air through that gap, up to a relief or the edge of the mould: the "
               "width of the shut-off around a cavity (common practice, no source)."},
      {.path = "air.vent_depth_factor",
       .kind = K::number,
       .range = {0.1, 10.0},
       .default_value = "1",
       .help = "Factor on the depth of all cut vents as the air finds them: below 1 where a film "
               "lies on them or the mould sits tighter, above 1 where they wore down. The leak "
               "grows with up to its third power. `calibrate` learns it from trial shots."},
      {.path = "air.smallest_pocket",
       .dimension = D::volume,
       .range = at_least(0.0),
       .default_value = "0.5 mm3",
       .help = "Less air than this, left behind by a front, is counted as carried along in the "
               "melt: a bubble of 1 mm no longer spans the wall. So is what a single control "
               "volume holds. 0 follows every piece."},
      {.path = "air.scorch_temperature",
       .dimension = D::temperature,
       .range = {373.15, 3000.0},
       .default_value = "350 degC",
       .help = "Air hotter than this for air.scorch_time may scorch plastic and metal. "
               "Polystyrene gives off ignitable gas above 345 to 360 degC in tests that last "
               "minutes; a shot lasts milliseconds, so this is a mark, no forecast."},
      {.path = "air.scorch_time",
       .dimension = D::time,
       .range = {0.0, 100.0},
       .default_value = "2 ms",
       .help = "See air.scorch_temperature. The default is an own judgement: the time in which air "
               "in a thin wall gives its heat away."},
      {.path = "air.pressure_limit",
       .dimension = D::pressure,
       .range = {0.0, 1e9, true, false},
       .default_value = "1 MPa",
       .help = "Gauge pressure that a proposed vent keeps a pocket under; pockets above it get a "
               "proposal. At the default air stays below 345 degC even without heat loss."},
  };
  for (auto more : {vent_keys(), ejector_keys()}) keys.insert(keys.end(), more.begin(), more.end());
  return keys;
}

}  // namespace firstshot
