// Keys of the closed solid of the shot and of the cutters that mill it.
#include "io/case_keys.hpp"

namespace firstshot {

std::vector<KeySpec> solid_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "geometry.solid",
       .kind = K::file,
       .help = "File with the closed solid of the whole shot, everything on it: .stl, .step or "
               ".stp."},
      {.path = "geometry.draw",
       .kind = K::direction,
       .default_note = "found: the axis along which the solid has no undercut",
       .help = "Direction in which the mould opens, towards the nozzle, in the axes of the solid."},
      {.path = "geometry.undercut_tolerance",
       .dimension = D::length,
       .range = {0.0, 0.1},
       .default_value = "0 mm",
       .help = "Undercuts of a solid that are smaller than this, seen along the draw, are filled "
               "and said; larger ones are refused with their place."},
      {.path = "geometry.tessellation",
       .dimension = D::length,
       .range = {1e-6, 1e-3},
       .default_value = "0.01 mm",
       .help = "Largest distance between a curved surface of a STEP file and the triangles that "
               "stand for it."},
  };
}

std::vector<KeySpec> cutter_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "cutters", .kind = K::table, .help = "What the shop mills with."},
      {.path = "cutters.diameters",
       .kind = K::quantities,
       .dimension = D::length,
       .range = {1e-5, 0.1},
       .default_value = "6 mm, 3 mm, 1 mm, 0.5 mm, 0.3 mm, 0.2 mm",
       .help =
           "Diameters of the cutters. `check` names, for each gate, the largest one that passes "
           "through it."},
  };
}

}  // namespace firstshot
