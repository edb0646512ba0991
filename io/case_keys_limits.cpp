// Keys of the shop's own limits for the verdict.
#include "io/case_keys.hpp"

namespace firstshot {

std::vector<KeySpec> limit_keys() {
  using D = Dimension;
  using K = ValueKind;
  constexpr Range share = {0.0, 1.0};
  return {
      {.path = "limits",
       .kind = K::table,
       .help = "The shop's own limits for the verdict. Defaults are common practice, no source."},
      {.path = "limits.pressure_share",
       .dimension = D::ratio,
       .range = share,
       .default_value = "80 %",
       .help = "Of process.injection_pressure_max that filling may take."},
      {.path = "limits.clamp_share",
       .dimension = D::ratio,
       .range = share,
       .default_value = "90 %",
       .help = "Of the clamp force that the melt may open with."},
      {.path = "limits.fill_time_spread",
       .dimension = D::ratio,
       .range = share,
       .default_value = "30 %",
       .help = "Share of the time until the last part is nearly full (98 %) that may lie between "
               "it and the first one. `balance` aims at the same."},
      {.path = "limits.side_weight",
       .dimension = D::ratio,
       .range = share,
       .default_value = "5 %",
       .help = "Of the shot that one side of the injection point may weigh more than the other."},
      {.path = "limits.gate_shear_rate",
       .dimension = D::shear_rate,
       .range = {0.0, 1e8, true, false},
       .default_note = "none: gates are not judged by shear rate",
       .help = "Above it the shop has seen melt tear and streak in a gate. Only the shop's own "
               "experience sets it: no limit with a source that can be checked is known."},
      {.path = "limits.weld_cooling",
       .dimension = D::temperature_difference,
       .range = {0.0, 300.0, true, false},
       .default_value = "20 K",
       .help = "That melt at a weld line on a visible face may have lost against the melt "
               "temperature."},
      {.path = "limits.residence_time",
       .dimension = D::time,
       .range = {0.0, 36000.0, true, false},
       .default_value = "300 s",
       .help = "That melt may stay in the hot barrel. Notes of suppliers for polystyrenes: 5 to 10 "
               "min (second-hand, unconfirmed)."},
      {.path = "limits.regrind",
       .dimension = D::ratio,
       .range = share,
       .default_value = "20 %",
       .help = "Share of regrind in the blend."},
      {.path = "limits.draft",
       .dimension = D::angle_in_degrees,
       .range = {0.0, 45.0, false, false},
       .default_value = "1 deg",
       .help = "Least draft of side walls, from the draw. Known of solids only."},
  };
}

}  // namespace firstshot
