#include "io/units.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace firstshot {
namespace {

// Value in the base unit = (number × factor × 10^exponent) + offset. Where factor is 1 and offset 0
// the unit is decimal: the exponent is joined to the text of the number and nothing is rounded
// twice.
struct Unit {
  std::string_view symbol;
  int exponent = 0;
  double factor = 1.0;
  double offset = 0.0;
  bool decimal() const { return factor == 1.0 && offset == 0.0; }
};

struct DimensionUnits {
  Dimension dimension;
  std::string_view name;     // with article
  std::string_view example;  // for error messages
  std::size_t n_display;     // the first n_display units are used by format_quantity
  std::vector<Unit> units;   // the first is the one for zero
};

constexpr double kIceTemperature = 273.15;  // 0 degC [K], by definition of the scale
constexpr double kFahrenheit = 5.0 / 9.0;   // one degree Fahrenheit [K], by definition
constexpr double kFahrenheitZero = 459.67;  // 0 degF above absolute zero [degF]
constexpr double kInch = 2.54;              // [cm], by definition
constexpr double kAtmosphere = 1.01325;     // [bar], by definition
constexpr double kPsi = 6.894757293168361;  // pound-force per square inch [kPa], by definition
constexpr double kDegree = std::numbers::pi / 180.0;  // [rad]
constexpr double kRadian = 180.0 / std::numbers::pi;  // [deg]
constexpr double kMinute = 6.0;                       // [10 s]
constexpr double kHour = 3.6;                         // [1000 s]
constexpr double kPerMinute = 1.0 / 6.0;              // [1/(10 s)]
constexpr double kPerHour = 1.0 / 3.6;                // [1/(1000 s)]
constexpr int kLongestExponent = 5000;                // decimal exponents beyond this are no number
constexpr std::size_t kLongestText = 200;             // characters of a quantity

const std::vector<DimensionUnits>& all_units() {
  using D = Dimension;
  static const std::vector<DimensionUnits> table = {
      {D::length,
       "a length",
       "1.2 mm",
       3,
       {{"mm", -3}, {"um", -6}, {"m", 0}, {"cm", -2}, {"in", -2, kInch}}},
      {D::area, "an area", "12 mm2", 3, {{"mm2", -6}, {"cm2", -4}, {"m2", 0}}},
      {D::volume, "a volume", "5 cm3", 2, {{"cm3", -6}, {"mm3", -9}, {"l", -3}, {"m3", 0}}},
      {D::temperature,
       "a temperature",
       "220 degC",
       2,
       {{"degC", 0, 1.0, kIceTemperature},
        {"K", 0},
        {"degF", 0, kFahrenheit, kFahrenheit * kFahrenheitZero}}},
      {D::temperature_difference, "a temperature difference", "60 K", 1, {{"K", 0}}},
      {D::time, "a time", "0.6 s", 2, {{"s", 0}, {"ms", -3}, {"min", 1, kMinute}, {"h", 3, kHour}}},
      {D::speed, "a speed", "80 mm/s", 2, {{"mm/s", -3}, {"m/s", 0}, {"cm/s", -2}}},
      {D::flow_rate,
       "a flow rate",
       "40 cm3/s",
       2,
       {{"cm3/s", -6}, {"mm3/s", -9}, {"m3/s", 0}, {"l/min", -4, kPerMinute}}},
      {D::mass, "a mass", "20 g", 2, {{"g", -3}, {"kg", 0}, {"t", 3}}},
      {D::mass_rate,
       "a mass rate",
       "10 g/s",
       2,
       {{"g/s", -3}, {"kg/s", 0}, {"kg/h", -3, kPerHour}}},
      {D::force, "a force", "600 kN", 3, {{"kN", 3}, {"N", 0}, {"MN", 6}}},
      {D::pressure,
       "a pressure",
       "80 MPa",
       3,
       {{"MPa", 6},
        {"kPa", 3},
        {"Pa", 0},
        {"GPa", 9},
        {"bar", 5},
        {"atm", 5, kAtmosphere},
        {"psi", 3, kPsi}}},
      {D::density, "a density", "970 kg/m3", 1, {{"kg/m3", 0}, {"g/cm3", 3}}},
      {D::specific_volume, "a specific volume", "9.7e-4 m3/kg", 1, {{"m3/kg", 0}, {"cm3/g", -3}}},
      {D::specific_expansion,
       "a specific volume per temperature",
       "5.4e-7 m3/(kg K)",
       1,
       {{"m3/(kg K)", 0}, {"cm3/(g K)", -3}}},
      {D::viscosity, "a viscosity", "250 Pa s", 1, {{"Pa s", 0}, {"kPa s", 3}, {"mPa s", -3}}},
      {D::conductivity, "a thermal conductivity", "0.155 W/(m K)", 1, {{"W/(m K)", 0}}},
      {D::heat_capacity,
       "a heat capacity",
       "2100 J/(kg K)",
       1,
       {{"J/(kg K)", 0}, {"kJ/(kg K)", 3}}},
      {D::conductance,
       "a thermal conductance",
       "10000 W/(m2 K)",
       1,
       {{"W/(m2 K)", 0}, {"kW/(m2 K)", 3}}},
      {D::angle, "an angle", "15 deg", 2, {{"deg", 0, kDegree}, {"rad", 0}}},
      {D::angle_in_degrees, "an angle", "15 deg", 1, {{"deg", 0}, {"rad", 0, kRadian}}},
      {D::ratio, "a ratio", "5 %", 1, {{"%", -2}, {"1", 0}}},
      {D::pressure_shift,
       "a temperature per pressure",
       "0.2 K/MPa",
       2,
       {{"K/MPa", -6}, {"K/Pa", 0}}},
      {D::per_temperature, "a share per temperature", "0.02 1/K", 1, {{"1/K", 0}}},
      {D::per_pressure,
       "a share per pressure",
       "1e-3 1/MPa",
       2,
       {{"1/MPa", -6}, {"1/Pa", 0}, {"1/GPa", -9}}},
      {D::shear_rate, "a shear rate", "1000 1/s", 1, {{"1/s", 0}}},
      {D::melt_flow_rate, "a melt flow rate", "8 g/10min", 1, {{"g/10min", 0}}},
  };
  return table;
}

const DimensionUnits& units_of(Dimension dim) {
  const auto& table = all_units();
  return *std::find_if(table.begin(), table.end(),
                       [dim](const auto& d) { return d.dimension == dim; });
}

// One spelling for the ways people write the same unit: signs for degree, micro and powers, runs of
// blanks.
std::string plain_symbol(std::string_view written) {
  struct Sign {
    std::string_view written, plain;
  };
  static constexpr std::array<Sign, 9> kSigns{{{"\u00b0C", "degC"},
                                               {"\u00b0F", "degF"},
                                               {"\u00b0", "deg"},
                                               {"\u00b5", "u"},
                                               {"\u03bc", "u"},
                                               {"\u00b2", "2"},
                                               {"\u00b3", "3"},
                                               {"\u00b7", " "},
                                               {"\t", " "}}};
  std::string out;
  while (!written.empty()) {
    const auto sign = std::find_if(kSigns.begin(), kSigns.end(), [written](const Sign& s) {
      return written.starts_with(s.written);
    });
    const bool known = sign != kSigns.end();
    const std::string_view piece = known ? sign->plain : written.substr(0, 1);
    if (piece != " " || (!out.empty() && out.back() != ' ')) out += piece;
    written.remove_prefix(known ? sign->written.size() : 1);
  }
  while (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

const Unit* find_unit(const DimensionUnits& units, std::string_view symbol) {
  const auto it = std::find_if(units.units.begin(), units.units.end(),
                               [symbol](const Unit& u) { return u.symbol == symbol; });
  return it == units.units.end() ? nullptr : &*it;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_blank(char c) { return c == ' ' || c == '\t'; }

// Mantissa and decimal exponent of the number at the start of `text`; the rest is the unit.
struct WrittenNumber {
  std::string mantissa;  // "-1.25"
  int exponent = 0;
  std::string_view rest;
};

std::size_t skip_digits(std::string_view text, std::size_t i) {
  while (i < text.size() && is_digit(text[i])) ++i;
  return i;
}

// Reads "e-3" at i when it is there; a lone e belongs to the unit.
std::size_t read_exponent(std::string_view text, std::size_t i, int& exponent) {
  if (i >= text.size() || (text[i] != 'e' && text[i] != 'E')) return i;
  std::size_t first = i + 1;
  if (first < text.size() && (text[first] == '+' || text[first] == '-')) ++first;
  const std::size_t end = skip_digits(text, first);
  if (end == first) return i;
  int value = kLongestExponent + 1;
  std::from_chars(text.data() + first, text.data() + end,
                  value);  // stays beyond the limit when too long
  if (value > kLongestExponent) throw UnitError(fmt::format("\"{}\" is not a finite number", text));
  exponent = text[i + 1] == '-' ? -value : value;
  return end;
}

std::optional<WrittenNumber> read_number(std::string_view text) {
  std::size_t i = 0;
  WrittenNumber number;
  if (i < text.size() && (text[i] == '+' || text[i] == '-')) ++i;
  const std::size_t first = i;
  i = skip_digits(text, i);
  std::size_t n_digits = i - first;
  if (i < text.size() && text[i] == '.') {
    const std::size_t end = skip_digits(text, i + 1);
    n_digits += end - i - 1;
    i = end;
  }
  if (n_digits == 0) return std::nullopt;
  number.mantissa = std::string(text.substr(0, i));
  if (number.mantissa.front() == '+') number.mantissa.erase(0, 1);
  i = read_exponent(text, i, number.exponent);
  number.rest = text.substr(i);
  return number;
}

double decimal_value(const std::string& mantissa, int exponent, std::string_view shown) {
  const std::string text = fmt::format("{}e{}", mantissa, exponent);
  double value = 0.0;
  const auto end = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end.ec != std::errc{} || end.ptr != text.data() + text.size() || !std::isfinite(value)) {
    throw UnitError(fmt::format("\"{}\" is not a finite number that a double can hold", shown));
  }
  return value;
}

double in_base_unit(const WrittenNumber& number, const Unit& unit, std::string_view shown) {
  const double value = decimal_value(number.mantissa, number.exponent + unit.exponent, shown);
  if (unit.decimal()) return value;
  const double base = value * unit.factor + unit.offset;
  if (!std::isfinite(base)) throw UnitError(fmt::format("\"{}\" is too large", shown));
  return base;
}

[[noreturn]] void throw_wrong_unit(const DimensionUnits& wanted, const std::string& symbol) {
  for (const DimensionUnits& other : all_units()) {
    if (find_unit(other, symbol) != nullptr) {
      throw UnitError(
          fmt::format("\"{}\" is the unit of {}, but {} belongs here; allowed units: {}", symbol,
                      other.name, wanted.name, allowed_units(wanted.dimension)));
    }
  }
  throw UnitError(fmt::format("unknown unit \"{}\" for {}; allowed units: {}", symbol, wanted.name,
                              allowed_units(wanted.dimension)));
}

// Digits without point and the exponent of the last digit: 0.0012 → {"12", -4}.
struct Decimal {
  bool negative = false;
  std::string digits;
  int exponent = 0;
};

Decimal shortest_decimal(double value) {
  std::array<char, 64> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value,
                                 std::chars_format::scientific);
  const std::string text(buffer.data(), end.ptr);
  Decimal decimal;
  const std::size_t e = text.find('e');
  for (const char c : text.substr(0, e)) {
    if (c == '-') decimal.negative = true;
    if (is_digit(c)) decimal.digits += c;
  }
  decimal.exponent = std::atoi(text.c_str() + e + 1) - static_cast<int>(decimal.digits.size()) + 1;
  return decimal;
}

std::string written(const Decimal& d) {
  constexpr int kMostZeros = 4;  // beyond this the form with an exponent is easier to read
  const int n = static_cast<int>(d.digits.size());
  const char* sign = d.negative ? "-" : "";
  const std::string_view digits = d.digits;
  if (digits == "0") return fmt::format("{}0", sign);
  if (d.exponent >= 0 && d.exponent <= kMostZeros) {
    return fmt::format("{}{}{}", sign, digits, std::string(d.exponent, '0'));
  }
  if (d.exponent < 0 && -d.exponent < n) {
    const std::size_t whole = d.digits.size() - static_cast<std::size_t>(-d.exponent);
    return fmt::format("{}{}.{}", sign, digits.substr(0, whole), digits.substr(whole));
  }
  if (d.exponent < 0 && -d.exponent <= n + kMostZeros - 1) {
    return fmt::format("{}0.{}{}", sign, std::string(-d.exponent - n, '0'), digits);
  }
  const std::string tail = n > 1 ? fmt::format(".{}", digits.substr(1)) : "";
  return fmt::format("{}{}{}e{}", sign, digits.substr(0, 1), tail, d.exponent + n - 1);
}

std::string decimal_in_unit(double value, const Unit& unit) {
  Decimal decimal = shortest_decimal(value);
  if (value != 0.0) decimal.exponent -= unit.exponent;
  return written(decimal);
}

// Fewest digits that read back as the same double through a unit with a factor or an offset, if any
// do.
std::optional<std::string> rounded_in_unit(double value, const Unit& unit, Dimension dim) {
  constexpr int kMostDigits = 17;  // a double needs no more
  const double number = (value - unit.offset) / unit.factor;
  for (int digits = 1; digits <= kMostDigits; ++digits) {
    const std::string text =
        written(shortest_decimal(std::stod(fmt::format("{:.{}g}", number, digits))));
    if (parse_quantity(fmt::format("{} {}", text, unit.symbol), dim) == value) return text;
  }
  return std::nullopt;
}

/// "300 MPa" before "3e8 Pa"; then the shorter one.
bool reads_better(const std::string& a, const std::string& b) {
  const auto measure = [](const std::string& text) {
    const std::string number = text.substr(0, text.find(' '));
    return std::pair(number.find('e') != std::string::npos, text.size());
  };
  return measure(a) < measure(b);
}

}  // namespace

double parse_quantity(std::string_view text, Dimension dim) {
  const DimensionUnits& wanted = units_of(dim);
  if (text.size() > kLongestText)
    throw UnitError(fmt::format("this text is too long for {}", wanted.name));
  std::string_view trimmed = text;
  while (!trimmed.empty() && is_blank(trimmed.front())) trimmed.remove_prefix(1);
  const std::optional<WrittenNumber> number = read_number(trimmed);
  if (!number) {
    throw UnitError(fmt::format("\"{}\" does not begin with a finite number; write {} like \"{}\"",
                                text, wanted.name, wanted.example));
  }
  const std::string symbol = plain_symbol(number->rest);
  if (symbol.empty()) {
    throw UnitError(fmt::format("\"{}\" has no unit; write {} like \"{}\" (allowed units: {})",
                                text, wanted.name, wanted.example, allowed_units(dim)));
  }
  const Unit* unit = find_unit(wanted, symbol);
  if (unit == nullptr) throw_wrong_unit(wanted, symbol);
  return in_base_unit(*number, *unit, text);
}

double convert_quantity(double value, std::string_view unit, Dimension dim) {
  return parse_quantity(fmt::format("{} {}", format_number(value), unit), dim);
}

std::string format_quantity(double value, Dimension dim) {
  const DimensionUnits& units = units_of(dim);
  std::string best;
  for (std::size_t i = 0; i < units.n_display; ++i) {
    const Unit& unit = units.units[i];
    std::optional<std::string> number =
        unit.decimal() ? decimal_in_unit(value, unit) : rounded_in_unit(value, unit, dim);
    if (!number) continue;
    const std::string text = fmt::format("{} {}", *number, unit.symbol);
    if (best.empty() || (value != 0.0 && reads_better(text, best))) best = text;
  }
  return best;
}

std::string format_number_in(double value, std::string_view unit, Dimension dim) {
  const DimensionUnits& units = units_of(dim);
  const Unit* found = find_unit(units, plain_symbol(unit));
  if (found == nullptr) throw_wrong_unit(units, std::string(unit));
  if (!found->decimal()) throw UnitError(fmt::format("\"{}\" is not a decimal unit", unit));
  return decimal_in_unit(value, *found);
}

std::string format_number(double value) {
  if (!std::isfinite(value)) return fmt::format("{}", value);
  return written(shortest_decimal(value));
}

std::string dimension_name(Dimension dim) { return std::string(units_of(dim).name); }

std::vector<std::string> unit_symbols(Dimension dim) {
  std::vector<std::string> symbols;
  for (const Unit& unit : units_of(dim).units) symbols.emplace_back(unit.symbol);
  return symbols;
}

std::string allowed_units(Dimension dim) {
  return fmt::format("{}", fmt::join(unit_symbols(dim), ", "));
}

std::string example_quantity(Dimension dim) { return std::string(units_of(dim).example); }

}  // namespace firstshot
