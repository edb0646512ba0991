// Case texts that between them hold every key there is, one key per line. All but the last are
// valid.
#pragma once

#include <string>
#include <vector>

namespace firstshot {

inline std::string full_process() {
  return R"toml([material]
card = "./grade.toml"
regrind = "5 %"
masterbatch = "2 %"
regrind_flow_ratio = 1.2
masterbatch_flow_ratio = 1.9
viscosity_factor = 1.07
contact_conductance = "8 kW/(m2 K)"
detached_conductance = "1.7 kW/(m2 K)"
regrind_colour = "natural"
ejection_friction = 0.31
ejection_modulus = "1.7 GPa"
ejection_strength = "13 MPa"
[press]
card = "./press.toml"
name = "Old \"Bess\" \\ 60 t"
screw_diameter = "1.1 in"
stroke_max = "100 mm"
speed_max = "150 mm/s"
melt_pressure_max = "1500 bar"
intensification = 9.7
clamp_force = "0.6 MN"
nozzle_volume = "4.1 cm3"
dry_cycle = "2.3 s"
plasticising_rate = "9.1 g/s"
barrel_volume = "151 cm3"
[mould]
metal = "steel"
plate_thickness = "41 mm"
margin = "1.1 in"
[mould.channel]
diameter = "8.1 mm"
pitch = "33 mm"
depth = "15.3 mm"
coolant_temperature = "23.4 degC"
flow = "107 cm3/s"
[mould.moving_channel]
diameter = "10.1 mm"
pitch = "41 mm"
depth = "17.3 mm"
coolant_temperature = "33.4 degC"
flow = "207 cm3/s"
[cost]
currency = "kr"
material_per_kg = 2.37
masterbatch_per_kg = 9.11
grinding_per_kg = 0.43
drying_per_kg = 0.15
machine_per_hour = 37.7
labour_per_hour = 31.1
attendance = "43 %"
scrap = "3.1 %"
mould = 11999.5
frames = 17000
frame_price = 2.11
return_days = 9
return_per_day = 333.3
return_work = 777.7
return_share = "7 %"
[accuracy]
level = "preview"
element_size = "1.7 mm"
layers = 14
volume_steps = 77
tolerance = 0.033
grading = 0.31
snapshots = 11
[air]
enabled = true
parting_line_gap = "4.3 um"
parting_line_land = "0.31 in"
vent_depth_factor = 0.83
smallest_pocket = "0.41 mm3"
scorch_temperature = "333 degC"
scorch_time = "3.1 ms"
pressure_limit = "4.4 bar"
[limits]
pressure_share = "71 %"
clamp_share = "72 %"
fill_time_spread = "23 %"
side_weight = "3 %"
gate_shear_rate = "31000 1/s"
weld_cooling = "17 K"
residence_time = "4.5 min"
regrind = "17 %"
draft = "0.7 deg"
)toml";
}

/// Every kind of outline and section, a sprue, speed profile and holding steps.
inline std::string frame_case() {
  return R"toml(title = "Frame \"A\""
[layout]
unit = "mm"
[layout.sprue]
at = [0, 0]
length = "35 mm"
nozzle_diameter = "3 mm"
foot_diameter = "5 mm"
[[layout.part]]
name = "deck"
thickness = "1.2 mm"
visible = true
role = "part"
polygon = [[20, -5], [50.1, -5, 0.4], [50.1, 5], [20, 5]]
[[layout.part.hole]]
[layout.part.hole.circle]
centre = [30, 0]
diameter = "3 mm"
[[layout.part.hole]]
polygon = [[40, 0], [41, 0], [41, 1]]
[[layout.part.hole]]
[layout.part.hole.rectangle]
centre = [35, 0]
size = [1, 2]
radius = "0.2 mm"
turn = "15 deg"
[[layout.part.step]]
thickness = "2.0 mm"
[layout.part.step.rectangle]
centre = [25, 0]
size = [4, 6]
radius = "0 mm"
turn = "0.3 rad"
[[layout.part.step]]
thickness = "0.9 mm"
[layout.part.step.circle]
centre = [45, 0]
diameter = "2 mm"
[[layout.part.step]]
thickness = "0.8 mm"
polygon = [[46, 3], [47, 3], [47, 4]]
[[layout.image]]
of = "deck"
name = "deck-2"
mirror = [[0, 0], [0, 1]]
move = [0, 0.1]
visible = false
[layout.image.turn]
angle = "33 deg"
about = [1, 2]
[[layout.runner]]
name = "east"
points = [[0, 0], [18, 0]]
[layout.runner.section]
kind = "round"
diameter = "4 mm"
end_diameter = "3.3 mm"
[[layout.runner]]
name = "west"
points = [[0, 0], [-18, 0]]
[layout.runner.section]
kind = "trapezoid"
width = "5 mm"
depth = "4 mm"
draft = "7 deg"
end_width = "4 mm"
end_depth = "3 mm"
[[layout.runner]]
name = "north"
points = [[0, 0], [0, 9], [3, 9]]
[layout.runner.section]
kind = "half_round"
diameter = "4 mm"
[[layout.runner]]
name = "south"
points = [[0, 0], [0, -9]]
[layout.runner.section]
kind = "rectangle"
width = "3 mm"
depth = "2 mm"
[[layout.gate]]
name = "g-deck"
from = [18, 0]
to = [20, 0]
width = "1.0 mm"
depth = "0.6 mm"
[[vent]]
at = [[50.1, -4.9], [50.1, -3.1]]
width = "1.1 mm"
depth = "21 um"
land = "1.7 mm"
[[vent]]
at = [[30, -5]]
width = "0.1 in"
depth = "0.02 mm"
[[closed]]
gate = "g-deck"
[[closed]]
part = "deck-2"
[[ejector]]
name = "by the bow"
at = [24.1, 1.5]
diameter = "2.5 mm"
clearance = "11 um"
land = "0.2 in"
[[ejector]]
at = [-9.3, 0.1]
diameter = "4 mm"
[process]
melt_temperature = "437 degF"
speed_profile = [["0 %", "40 cm3/s"], ["90.5 %", "20 cm3/s"]]
holding = [["20.3 MPa", "2 s"], ["10 MPa", "2 s"]]
injection_pressure_max = "110 MPa"
entrance_length = 2.5
barrel_compressible = false
time_limit = "12.5 s"
isothermal = false
ejection_criterion = "mean"
ejection_temperature = "81.3 degC"
runner_ejection_criterion = "mean"
runner_ejection_temperature = "88.8 degC"
cooling_time = "11.1 s"
eject_time = "1.3 s"
[process.mould_temperature]
fixed = "45 degC"
moving = "40.1 degC"
[process.switch_over]
position = "70.7 mm"
)toml" + full_process();
}

/// A strip without a sprue, fed over its end.
inline std::string strip_case(const std::string& drive, const std::string& switch_over) {
  return R"toml([layout]
unit = "in"
[[layout.part]]
name = "strip"
thickness = "1.5 mm"
[layout.part.rectangle]
centre = [3, 0.1]
size = [6, 0.7]
radius = "0.5 mm"
turn = "0 deg"
[[layout.part]]
name = "disc"
thickness = "1.5 mm"
[layout.part.circle]
centre = [30, 0.1]
diameter = "9 mm"
[injection]
at = [0, 0.1]
width = "15 mm"
[process]
mould_temperature = "310.3 K"
)toml" + drive +
         "[process.switch_over]\n" + switch_over + full_process();
}

inline std::vector<std::string> valid_full_cases() {
  const std::string time = strip_case("fill_time = \"0.7 s\"\n", "volume = \"97.7 %\"\n");
  std::string mouth = time;
  mouth.replace(mouth.find("width = \"15 mm\""), 15, "diameter = \"3 mm\"");
  return {frame_case(), time, mouth,
          strip_case("constant_pressure = \"33.3 MPa\"\n", "time = \"0.61 s\"\n"),
          strip_case("injection_speed = \"11.3 cm3/s\"\n", "pressure = \"71 MPa\"\n")};
}

/// A solid in the file frame.stl, which the test has to put beside the case.
inline std::string solid_case() {
  return R"toml([geometry]
solid = "frame.stl"
unit = "mm"
draw = [0, 0.5, 2]
undercut_tolerance = "0.3 mm"
tessellation = "0.02 mm"
[injection]
at = [3.3, 4.7]
diameter = "3 mm"
[[part]]
name = "box"
inside = [0.1, 0.2]
visible = true
[[part]]
name = "other \"box\""
inside = [7, 8.1]
[cutters]
diameters = ["1 mm", "6 mm", "0.01 in"]
[process]
fill_time = "0.7 s"
)toml" + full_process();
}

/// A drawing; it stands beside the case as "frame.dxf", with something on each layer.
inline std::string drawing_case() {
  return R"toml([geometry]
dxf = "frame.dxf"
gap = "0.04 mm"
unit = "mm"
[[layer]]
name = "PARTS"
role = "part"
thickness = "1.2 mm"
visible = true
[[layer]]
name = "RUNNERS"
role = "runner"
[layer.section]
kind = "trapezoid"
width = "5 mm"
depth = "4 mm"
draft = "7 deg"
end_width = "4 mm"
end_depth = "3 mm"
[[layer]]
name = "ROUND"
role = "runner"
[layer.section]
kind = "round"
diameter = "4 mm"
end_diameter = "3.3 mm"
[[layer]]
name = "GATES"
role = "gate"
width = "1 mm"
depth = "0.6 mm"
[[layer]]
name = "SPRUE"
role = "sprue"
length = "30 mm"
nozzle_diameter = "3 mm"
foot_diameter = "5 mm"
[[part]]
name = "deck"
inside = [15, 1]
visible = true
[process]
fill_time = "1 s"
)toml" + full_process();
}

inline std::vector<std::string> full_cases() {
  std::vector<std::string> all = valid_full_cases();
  all.push_back(solid_case());
  all.push_back(drawing_case());
  all.push_back(
      "[geometry]\nlayout = \"frame.toml\"\nunit = \"in\"\nsize = \"part\"\nshrinkage = \"0.5 "
      "%\"\n[injection]\nat = [0, 0]\n[process]\n"
      "fill_time = \"1 s\"\n" +
      full_process());
  return all;
}

}  // namespace firstshot
