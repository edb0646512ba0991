// Quantities in text ↔ doubles in SI: "230 degC" → 503.15. The only place that knows unit symbols.
//
// A number is read together with the decimal exponent of its unit, so "1.2 mm" is exactly the
// double 1.2e-3 and every SI value can be written in a decimal unit and read back bit for bit.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "mesh/error.hpp"

namespace firstshot {

/// What a quantity measures. The comment gives the unit of the double.
enum class Dimension {
  length,                  ///< m
  area,                    ///< m²
  volume,                  ///< m³
  temperature,             ///< K
  temperature_difference,  ///< K
  time,                    ///< s
  speed,                   ///< m/s
  flow_rate,               ///< m³/s
  mass,                    ///< kg
  mass_rate,               ///< kg/s
  force,                   ///< N
  pressure,                ///< Pa
  density,                 ///< kg/m³
  specific_volume,         ///< m³/kg
  specific_expansion,      ///< m³/(kg K)
  viscosity,               ///< Pa s
  conductivity,            ///< W/(m K)
  heat_capacity,           ///< J/(kg K)
  conductance,             ///< W/(m² K)
  angle,                   ///< rad
  angle_in_degrees,        ///< deg: angles whose whole degrees must stay exact
  ratio,                   ///< 1
  pressure_shift,          ///< K/Pa
  per_temperature,         ///< 1/K
  per_pressure,            ///< 1/Pa
  shear_rate,              ///< 1/s
  melt_flow_rate,          ///< g/10min, the unit in which the trade states it
};

/// The text is no quantity of the wanted dimension; what() is one sentence with what is allowed.
class UnitError : public Error {
 public:
  using Error::Error;
};

/// Value in the unit listed at `dim`. Accepts "1.2 mm", "1.2e-3 m", "220degC", "220 °C", "5 µm".
/// @throws UnitError no number, no unit, unknown unit, unit of another dimension, not finite
double parse_quantity(std::string_view text, Dimension dim);

/// `value` in `unit` (a symbol of `dim`) → unit listed at `dim`; used for lists of bare numbers
/// under one unit.
/// @throws UnitError as parse_quantity
double convert_quantity(double value, std::string_view unit, Dimension dim);

/// Shortest handy text; parse_quantity(format_quantity(x, dim), dim) == x for every finite x.
std::string format_quantity(double value, Dimension dim);

/// Number alone in a decimal unit ("mm", "cm", "m", "um"). As a number of 17 digits it may lose the
/// last bit on its way back through convert_quantity, except in the unit listed at `dim`. @throws
/// UnitError for other units
std::string format_number_in(double value, std::string_view unit, Dimension dim);

/// Shortest text that reads back as the same double.
std::string format_number(double value);

/// With article, for sentences: "a length", "an angle".
std::string dimension_name(Dimension dim);

/// Symbols that may be written, the handiest first: {"mm", "um", "m", "cm", "in"}.
std::vector<std::string> unit_symbols(Dimension dim);
/// The same in one text: "mm, um, m, cm, in".
std::string allowed_units(Dimension dim);

/// A plausible quantity for error messages: "1.2 mm", "220 degC".
std::string example_quantity(Dimension dim);

}  // namespace firstshot
