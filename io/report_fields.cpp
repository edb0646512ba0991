#include "io/report_fields.hpp"

#include <algorithm>
#include <array>

namespace firstshot {
namespace {

constexpr double zero_celsius = 273.15;  // [K]

struct KnownField {
  const char* key;
  const char* label;
  const char* unit;
  double factor, offset;
  const char* colours;
  bool logarithmic, at_end_only, hidden;
};

// In the order in which the page offers them.
constexpr std::array<KnownField, 23> known{{
    {"arrival_time", "Melt arrives after", "s", 1, 0, "viridis", false, true, false},
    {"pressure", "Pressure", "MPa", 1e-6, 0, "cividis", false, false, false},
    {"temperature_mean", "Temperature, mean over the gap", "°C", 1, -zero_celsius, "inferno", false,
     false, false},
    {"temperature_core", "Temperature in the middle of the gap", "°C", 1, -zero_celsius, "inferno",
     false, false, false},
    {"solid_share", "Solid share of the gap", "%", 100, 0, "cividis", false, false, false},
    {"shear_rate", "Shear rate", "1/s", 1, 0, "magma", true, false, false},
    {"gas_pressure", "Pressure of the air", "MPa", 1e-6, 0, "inferno", false, false, false},
    {"air_exit_energy", "Scorch ranking of the edges", "J/m", 1, 0, "inferno", true, true, false},
    {"thickness", "Wall thickness", "mm", 1e3, 0, "viridis", false, true, false},
    {"hold_begin_pressure", "Pressure when holding begins", "MPa", 1e-6, 0, "cividis", false, true,
     false},
    {"volume_shrinkage", "Volume shrinkage", "%", 100, 0, "cividis", false, true, false},
    {"void_share", "Void of caught air", "%", 100, 0, "inferno", false, true, false},
    {"shrinkage", "Volume shrinkage", "%", 100, 0, "cividis", false, true, false},
    {"frozen_pressure", "Pressure when solid", "MPa", 1e-6, 0, "cividis", false, true, false},
    {"freeze_time", "Solid after", "s", 1, 0, "viridis", false, true, false},
    {"density", "Density", "kg/m³", 1, 0, "cividis", false, false, false},
    {"ejection_time", "Time to ejection", "s", 1, 0, "viridis", false, true, false},
    {"time_to_ejection", "Time to ejection", "s", 1, 0, "viridis", false, true, false},
    {"mould_temperature", "Surface of the mould", "°C", 1, -zero_celsius, "inferno", false, false,
     false},
    {"temperature_at_ejection", "Temperature at ejection", "°C", 1, -zero_celsius, "inferno", false,
     true, false},
    {"fill", "Filled share", "%", 100, 0, "viridis", false, false, true},
    {"air_pocket", "Number of the air pocket", "", 1, 0, "viridis", false, false, true},
    {"temperature", "Temperature", "°C", 1, -zero_celsius, "inferno", false, false, false},
}};

/// "frozen_in_stress" → "Frozen in stress"
std::string plain_words(std::string key) {
  std::replace(key.begin(), key.end(), '_', ' ');
  if (!key.empty() && key[0] >= 'a' && key[0] <= 'z')
    key[0] = static_cast<char>(key[0] - 'a' + 'A');
  return key;
}

}  // namespace

ShownField shown_field(const std::string& key, const std::string& si_unit) {
  for (std::size_t i = 0; i < known.size(); ++i) {
    const KnownField& f = known[i];
    if (key == f.key)
      return {f.key,     f.label,       f.unit,        f.factor, f.offset,
              f.colours, f.logarithmic, f.at_end_only, f.hidden, i};
  }
  ShownField out;
  out.key = key;
  out.label = plain_words(key);
  out.unit = si_unit == "1" || si_unit == "none" ? "" : si_unit;
  out.colours = "viridis";
  out.rank = known.size();
  return out;
}

}  // namespace firstshot
