// Keys of title, geometry, injection, material, press and accuracy.
#include "io/case_keys.hpp"

namespace firstshot {
namespace {

constexpr double kLargestDimension = 10.0;  // of a frame [m]; no mould is larger

std::vector<KeySpec> material_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "material", .kind = K::table, .required = true, .help = "What is moulded."},
      {.path = "material.card",
       .kind = K::card,
       .required = true,
       .help = "Material card: the name of one that comes with the program, or the path of a file "
               "of your own "
               "(\"./my-grade.toml\")."},
      {.path = "material.regrind",
       .dimension = D::ratio,
       .range = between(0.0, 1.0),
       .default_value = "0 %",
       .help = "Share of ground-up runners and rejects in the blend, by weight. Common practice is "
               "about 5 %, at "
               "most 20 % (no source)."},
      {.path = "material.masterbatch",
       .dimension = D::ratio,
       .range = between(0.0, 1.0),
       .default_value = "0 %",
       .help = "Share of colour concentrate in the blend, by weight. Common practice is 2 % (no "
               "source)."},
      {.path = "material.regrind_flow_ratio",
       .kind = K::number,
       .range = between(0.1, 10.0),
       .default_value = "1.15",
       .help = "Melt flow rate of the regrind divided by that of fresh material. The default is an "
               "assumption, no "
               "source; measure it with your own regrind."},
      {.path = "material.masterbatch_flow_ratio",
       .kind = K::number,
       .range = between(0.1, 100.0),
       .default_value = "2",
       .help = "Melt flow rate of the masterbatch divided by that of fresh material. The default "
               "is an assumption, "
               "no source; ask the maker."},
      {.path = "material.viscosity_factor",
       .kind = K::number,
       .range = between(0.05, 20.0),
       .default_value = "1",
       .help = "Viscosity of this lot at equal stress, divided by that of the card; a lot with a "
               "melt flow rate 10 % above the card's has 1/1.1. It multiplies the zero-shear "
               "viscosity; the stress where thinning begins, the slope and the no-flow "
               "temperature stay those of the card. At equal shear rate the thinned melt "
               "changes less: by the factor to the power of the slope."},
      {.path = "material.contact_conductance",
       .dimension = D::conductance,
       .range = at_least(0.0),
       .default_value = "10000 W/(m2 K)",
       .help = "Heat that passes from melt to mould surface per area and temperature difference; 0 "
               "insulates. It "
               "matters most for walls below 0.8 mm."},
  };
}

std::vector<KeySpec> press_keys() {
  using D = Dimension;
  using K = ValueKind;
  const std::string note = "the card's value; without a card:";
  return {
      {.path = "press", .kind = K::table, .help = "The injection moulding machine."},
      {.path = "press.card",
       .kind = K::card,
       .default_note = "none: the values of a small press stand in",
       .help = "Press card: the name of one that comes with the program, or the path of a file of "
               "your own. The "
               "other keys of this table go before the card."},
      {.path = "press.name",
       .kind = K::text,
       .default_value = "unnamed press",
       .default_note = note,
       .help = "Name of the press for reports."},
      {.path = "press.screw_diameter",
       .dimension = D::length,
       .range = {5e-3, 0.5},
       .default_value = "30 mm",
       .default_note = note,
       .help = "Diameter of the screw."},
      {.path = "press.stroke_max",
       .dimension = D::length,
       .range = {1e-3, 5.0},
       .default_value = "110 mm",
       .default_note = note,
       .help = "Longest injection stroke; with the screw diameter it gives the shot capacity."},
      {.path = "press.speed_max",
       .dimension = D::speed,
       .range = {1e-4, 5.0},
       .default_value = "200 mm/s",
       .default_note = note,
       .help = "Highest speed of the screw during injection."},
      {.path = "press.melt_pressure_max",
       .dimension = D::pressure,
       .range = {1e5, 1e9},
       .default_value = "180 MPa",
       .default_note = note,
       .help = "Highest pressure of the melt ahead of the screw (not of the oil at the hydraulic "
               "gauge)."},
      {.path = "press.intensification",
       .kind = K::number,
       .range = between(1.0, 100.0),
       .default_value = "10",
       .default_note = note,
       .help = "Melt pressure divided by the pressure at the hydraulic gauge; both are shown in "
               "results."},
      {.path = "press.clamp_force",
       .dimension = D::force,
       .range = {100.0, 1e9},
       .default_value = "600 kN",
       .default_note = note,
       .help = "Force that keeps the mould shut."},
      {.path = "press.nozzle_volume",
       .dimension = D::volume,
       .range = between(0.0, 1e-2),
       .default_value = "5 cm3",
       .default_note = note,
       .help = "Melt that stays ahead of the screw at the end of the stroke: cushion, nozzle and "
               "head. It gives way "
               "under pressure and softens every jump."},
  };
}

}  // namespace

std::vector<KeySpec> general_keys() {
  using D = Dimension;
  using K = ValueKind;
  std::vector<KeySpec> keys = {
      {.path = "title",
       .kind = K::text,
       .default_note = "empty",
       .help = "Name of the case for reports."},
      {.path = "geometry",
       .kind = K::table,
       .help = "Where the shape of the shot comes from: a layout file, a drawing or a solid named "
               "here, or a table [layout] in the case."},
      {.path = "geometry.layout",
       .kind = K::file,
       .help = "File with the parametric layout; its keys are those of the table layout. Leave it "
               "out when the case "
               "has a table [layout]."},
      {.path = "geometry.dxf",
       .kind = K::file,
       .help = "Drawing in DXF (text form). Tables [[layer]] say what its layers mean."},
      {.path = "geometry.gap",
       .dimension = D::length,
       .range = {1e-6, 1e-3},
       .default_value = "0.05 mm",
       .help = "Largest gap between the ends of lines of a drawing that is closed; what was closed "
               "is said."},
      {.path = "geometry.unit",
       .kind = K::word,
       .default_note = "that of the layout, STEP file or header of the drawing; for an STL file "
                       "guessed from its size",
       .words = {"mm", "cm", "m", "um", "in"},
       .help = "Unit of the coordinates in an STL file or drawing, and of those in the results. A "
               "layout or STEP file names the unit of its own coordinates itself."},
      {.path = "geometry.size",
       .kind = K::word,
       .default_value = "cavity",
       .words = {"cavity", "part"},
       .help =
           "What the measures of the layout, drawing or solid are. cavity: what is milled. part: "
           "the cold part; everything, runners and sprue too, is made larger by 1/(1 - "
           "shrinkage). Coordinates in the files for ParaView stay those of the input, places "
           "in mm elsewhere are in the cavity."},
      {.path = "geometry.shrinkage",
       .dimension = D::ratio,
       .range = {0.0, 0.05},
       .default_note = "none; needed with size = \"part\"",
       .help = "Linear shrinkage allowance: 1 - part / cavity. Data sheets give 0.4 to 0.7 % for "
               "polystyrene and 0.2 to 0.8 % for high-impact polystyrene (second-hand, "
               "unconfirmed)."},
      {.path = "injection",
       .kind = K::table,
       .help = "Where the melt enters a shot without a sprue. With a sprue its foot is the place."},
      {.path = "injection.at",
       .kind = K::point,
       .dimension = D::length,
       .range = between(-kLargestDimension, kLargestDimension),
       .default_note = "the place of the sprue",
       .help = "Place of the injection point, in the unit of the geometry. Needed when there is no "
               "sprue."},
      {.path = "injection.diameter",
       .dimension = D::length,
       .range = {0.0, 1.0, true},
       .default_note = "twice the thickness there",
       .help = "Diameter of the mouth through which melt enters at the injection point."},
      {.path = "injection.width",
       .dimension = D::length,
       .range = {0.0, kLargestDimension, true},
       .default_note = "none",
       .help = "Length of rim through which melt enters when the injection point lies on the rim "
               "of a part, instead "
               "of injection.diameter."},
  };
  for (auto section :
       {material_keys(), cycle_keys_of("material"), press_keys(), cycle_keys_of("press")})
    keys.insert(keys.end(), section.begin(), section.end());
  return keys;
}

std::vector<KeySpec> accuracy_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "accuracy",
       .kind = K::table,
       .help = "How finely to compute. Halve the steps and compare before you trust a close call."},
      {.path = "accuracy.level",
       .kind = K::word,
       .default_value = "default",
       .words = {kAccuracyLevels.begin(), kAccuracyLevels.end()},
       .help = "Sets all keys of this table that are not given."},
      {.path = "accuracy.element_size",
       .dimension = D::length,
       .range = {1e-5, 0.1},
       .by_level = {"2 mm", "0.85 mm", "0.6 mm"},
       .help = "Wanted edge length of the triangles in the open; small features get smaller ones."},
      {.path = "accuracy.grading",
       .kind = K::number,
       .range = between(0.05, 1.0),
       .by_level = {"0.4", "0.25", "0.25"},
       .help = "Growth of the edge length per length away from small features."},
      {.path = "accuracy.layers",
       .kind = K::integer,
       .range = between(2, 200),
       .by_level = {"12", "20", "32"},
       .help = "Layers through half the gap."},
      {.path = "accuracy.volume_steps",
       .kind = K::integer,
       .range = between(5, 100000),
       .by_level = {"48", "120", "300"},
       .help = "A time step fills at most this fraction of the whole: 1/120 with 120."},
      {.path = "accuracy.tolerance",
       .kind = K::number,
       .range = {1e-9, 0.5},
       .by_level = {"0.05", "0.02", "0.005"},
       .help = "Change of fluidity, as a share, below which the iteration of a step stops."},
      {.path = "accuracy.snapshots",
       .kind = K::integer,
       .range = between(1, 10000),
       .by_level = {"12", "25", "50"},
       .help = "Pictures of the filling that are written."},
  };
}

}  // namespace firstshot
