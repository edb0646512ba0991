// Keys of the settings at the press.
#include "io/case_keys.hpp"

namespace firstshot {
namespace {

constexpr Range kMeltRange = {323.15, 773.15, false,
                              false};  // 50 to 500 degC: no melt lies outside
constexpr Range kMouldRange = {223.15, 573.15, false, false};  // -50 to 300 degC
constexpr Range kPressureRange = {0.0, 1e9, true, false};      // no press gives 1 GPa
constexpr Range kTimeRange = {0.0, 3600.0, true, false};       // an hour is no shot
constexpr Range kFlowRange = {0.0, 1.0, true, false};          // 1 m3/s
constexpr Range kShare = {0.0, 1.0, false, false};

std::vector<KeySpec> temperature_keys() {
  using D = Dimension;
  return {
      {.path = "process.melt_temperature",
       .dimension = D::temperature,
       .range = kMeltRange,
       .default_value = "220 degC",
       .help = "Temperature of the melt at the injection point. It must lie in the valid range of "
               "the material "
               "card."},
      {.path = "process.mould_temperature",
       .dimension = D::temperature,
       .range = kMouldRange,
       .default_value = "40 degC",
       .help = "Temperature of the mould surface, one value or { fixed = \"45 degC\", moving = "
               "\"40 degC\" }. It "
               "must lie in the valid range of the material card."},
      {.path = "process.mould_temperature.fixed",
       .dimension = D::temperature,
       .range = kMouldRange,
       .required = true,
       .help = "Surface of the half with the sprue."},
      {.path = "process.mould_temperature.moving",
       .dimension = D::temperature,
       .range = kMouldRange,
       .required = true,
       .help = "Surface of the half that opens."},
  };
}

std::vector<KeySpec> filling_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "process.fill_time",
       .dimension = D::time,
       .range = kTimeRange,
       .help = "Time to fill everything at a constant speed of the screw. One of fill_time, "
               "injection_speed, speed_profile and constant_pressure is needed."},
      {.path = "process.injection_speed",
       .dimension = D::flow_rate,
       .range = kFlowRange,
       .help = "Melt that the screw displaces per time, the same over the whole stroke; instead of "
               "fill_time."},
      {.path = "process.speed_profile",
       .kind = K::pairs,
       .dimension = D::ratio,
       .second = D::flow_rate,
       .range = kShare,
       .second_range = kFlowRange,
       .help =
           "Speed over the stroke: from this share of the shot volume on, the screw displaces this "
           "much, like "
           "[[\"0 %\", \"40 cm3/s\"], [\"90 %\", \"20 cm3/s\"]]. The first entry starts at 0 %."},
      {.path = "process.constant_pressure",
       .dimension = D::pressure,
       .range = kPressureRange,
       .help =
           "Pressure held at the injection point from the start, instead of a speed; for checks."},
      {.path = "process.injection_pressure_max",
       .dimension = D::pressure,
       .range = kPressureRange,
       .default_note = "the highest melt pressure of the press",
       .help = "Limit of the melt pressure set at the press; when it is reached, filling goes on "
               "at this pressure."},
      {.path = "process.entrance_length",
       .kind = K::number,
       .range = between(0.0, 20.0),
       .default_value = "3",
       .help = "Extra length where the melt enters a narrower channel, in hydraulic radii of the "
               "smaller section. "
               "Usual band 2 to 5; 0 leaves the loss out."},
      {.path = "process.barrel_compressible",
       .kind = K::flag,
       .default_value = "true",
       .help = "Whether the melt ahead of the screw gives way under pressure."},
      {.path = "process.time_limit",
       .dimension = D::time,
       .range = kTimeRange,
       .default_value = "30 s",
       .help = "Filling is given up after this time."},
      {.path = "process.isothermal",
       .kind = K::flag,
       .default_value = "false",
       .help = "Keeps the melt at its entry temperature everywhere; for checks against exact "
               "solutions."},
  };
}

std::vector<KeySpec> holding_keys() {
  using D = Dimension;
  using K = ValueKind;
  return {
      {.path = "process.switch_over",
       .kind = K::table,
       .default_note = "{ volume = \"98 %\" }",
       .help = "When the press goes from speed to holding pressure: one of volume, position, time "
               "and pressure."},
      {.path = "process.switch_over.volume",
       .dimension = D::ratio,
       .range = {0.0, 1.0, true, false},
       .help = "At this share of the filled volume."},
      {.path = "process.switch_over.position",
       .dimension = D::length,
       .range = at_least(0.0),
       .help = "At this way of the screw from the start of injection."},
      {.path = "process.switch_over.time",
       .dimension = D::time,
       .range = kTimeRange,
       .help = "At this time from the start of injection."},
      {.path = "process.switch_over.pressure",
       .dimension = D::pressure,
       .range = kPressureRange,
       .help = "When the melt at the injection point reaches this pressure."},
      {.path = "process.holding",
       .kind = K::pairs,
       .dimension = D::pressure,
       .second = D::time,
       .range = {0.0, 1e9},
       .second_range = kTimeRange,
       .default_note = "half the pressure at switch-over (common practice, no source), until no "
                       "part can be reached any more",
       .help = "Holding pressure of the melt and how long, step by step from switch-over on, like "
               "[[\"20 MPa\", \"2 s\"], [\"10 MPa\", \"2 s\"]]; at most 240 s in all."},
  };
}

}  // namespace

std::vector<KeySpec> process_keys() {
  std::vector<KeySpec> keys = {{.path = "process",
                                .kind = ValueKind::table,
                                .required = true,
                                .help = "What is set at the press and at the mould."}};
  for (auto section :
       {temperature_keys(), filling_keys(), holding_keys(), cycle_keys_of("process")}) {
    keys.insert(keys.end(), section.begin(), section.end());
  }
  return keys;
}

std::vector<KeyGroup> process_groups() {
  return {{"process", {"fill_time", "injection_speed", "speed_profile", "constant_pressure"}, true},
          {"process.switch_over", {"volume", "position", "time", "pressure"}, true},
          {"injection", {"diameter", "width"}, false},
          {"closed[]", {"gate", "part"}, true}};
}

}  // namespace firstshot
